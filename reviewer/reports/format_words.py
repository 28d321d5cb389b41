"""What may stand at a key of a design file, in words made from its JSON Schema."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

Schema = Mapping[str, Any]
#: the units at the end of the pattern of a quantity
UNITS = re.compile(r"\(([A-Za-z%|]+)\)\\s\*\$$")
#: in the pattern of a terminal
_TERMINAL = "[^.]+\\."
_KEY = re.compile(r"[A-Za-z0-9_-]+")


def definition(schema: Schema, whole: Schema) -> Schema:
    """A schema itself, or the definition that it refers to with its own words first."""
    name = schema.get("$ref", "").rpartition("/")[2]
    return {**whole["$defs"].get(name, {}), **schema} if name else schema


def entry_of(schema: Schema, whole: Schema) -> Schema | None:
    """The schema of what a map or list of groups holds, or of a group itself; None for other values."""
    own = definition(schema, whole)
    for inner in (own.get("additionalProperties"), own.get("items"), own):
        if isinstance(inner, Mapping) and "properties" in (found := definition(inner, whole)):
            return found
    return None


def choices_of(schema: Schema, whole: Schema) -> str:
    """What may stand at a key, as ``one of `open`, `closed` `` or ``in A or mA``; "" for any text."""
    own = definition(schema, whole)
    if "anyOf" in own:
        each = dict.fromkeys(choices_of(one, whole) for one in own["anyOf"])
        return "" if "" in each else " or ".join(each)  # any text will do
    if "const" in own:
        return f"`{own['const']}`"
    if "enum" in own:
        return f"one of {', '.join(f'`{word}`' for word in own['enum'])}"
    return _of_type(own, whole)


def _of_type(own: Schema, whole: Schema) -> str:
    kind, pattern = own.get("type"), own.get("pattern", "")
    if kind == "boolean":
        return "`true` or `false`"
    if kind == "integer":
        ends = [str(own[key]) for key in ("minimum", "maximum") if key in own]
        return f"a whole number from {' to '.join(ends)}" if len(ends) > 1 else "a whole number"
    if kind in ("array", "object"):
        return _of_many(own, whole)
    if "AWG" in pattern:
        return "in AWG or mm2"
    if units := UNITS.search(pattern):
        *others, last = units[1].split("|")
        return f"in {', '.join(others)} or {last}" if others else f"in {last}"
    return "`part.terminal`" if _TERMINAL in pattern else ""


def _of_many(own: Schema, whole: Schema) -> str:
    if own["type"] == "array":
        each = choices_of(own.get("items", {}), whole)
        return f"a list, each {each}" if each and "list" not in each else "a list"
    if "properties" in own:
        return "a group of keys"
    inner = own.get("additionalProperties")
    each = choices_of(inner, whole) if isinstance(inner, Mapping) else ""
    return f"names, each with {each}" if each and " or " not in each else "names"


def example_of(schema: Schema) -> Any:
    """The first example of a key; None without one."""
    return next(iter(schema.get("examples", ())), None)


def owners_of(key: str, whole: Schema) -> Iterator[tuple[str, Schema]]:
    """Every kind or group that has a key, by the name that the file has for it, with its schema."""
    for name, own in {"the file": whole, **whole["$defs"]}.items():
        if key in own.get("properties", {}) and "kind" not in (key if name in ("part", "contact") else ""):
            yield group_name(name), own["properties"][key]


def words_at(schema: Schema, whole: Schema) -> list[str]:
    """The words of which one may stand at a key: none where any text or a number may."""
    own = definition(schema, whole)
    words = own.get("enum") or [w for one in own.get("anyOf", ()) for w in words_at(one, whole)]
    return [word for word in words if isinstance(word, str)]


def group_name(name: str) -> str:
    """The name of a definition as the file or the trade has it: ``battery``, ``signal input``."""
    plain = name.removeprefix("part-")
    return plain if plain[:1].islower() else re.sub(r"(?<=[a-z])(?=[A-Z])", " ", plain).lower()


def choosable(whole: Schema) -> dict[str, list[str]]:
    """Every word that may stand at a key as a choice, with these keys."""
    found: dict[str, dict[str, None]] = {}
    for own in (whole, *whole["$defs"].values()):
        for key, value in own.get("properties", {}).items():
            for word in words_at(value, whole) if key != "kind" else ():
                found.setdefault(word, {})[key] = None
    return {word: list(keys) for word, keys in found.items() if _KEY.fullmatch(word)}


def keys_of(whole: Schema) -> list[str]:
    """Every key of the format."""
    found: dict[str, None] = {}
    for own in (whole, *whole["$defs"].values()):
        found |= dict.fromkeys(own.get("properties", {}))
    return [key for key in found if _KEY.fullmatch(key)]
