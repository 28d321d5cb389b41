"""The schema of what stands at a place of a design file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.reports.format_words import Schema, definition


def group_at(steps: Sequence[str], kind: str, whole: Schema) -> Schema | None:
    """The schema of a group or list to which some steps lead; ``kind`` is that of the part on the way.
    None where the format has none."""
    own: Schema | None = whole
    for number, step in enumerate(steps):
        assert own is not None
        own = below(own, step, whole)
        if own is None:
            return None
        if number == 1 and steps[0] == "parts":
            own = whole["$defs"].get(f"part-{kind}", own)
    return own


def below(own: Schema, step: str, whole: Schema) -> Schema | None:
    """What a group has at a key, or a list at a number; of several forms the first that has it."""
    for one in forms(own, whole):
        inner = one.get("properties", {}).get(step)
        if inner is None and step.isdigit():
            inner = one.get("items")
        if inner is None:
            inner = one.get("additionalProperties")
        if isinstance(inner, Mapping):
            return definition(inner, whole)
    return None


def forms(own: Schema, whole: Schema) -> list[Schema]:
    """A schema with its definition, and each form that it may have."""
    found = [definition(own, whole)]
    for one in found[0].get("anyOf", ()):
        found += forms(one, whole)
    return found


def keys_at(own: Schema, whole: Schema) -> dict[str, Schema]:
    """The keys that a group may have, each with its schema."""
    found: dict[str, Schema] = {}
    for one in forms(own, whole):
        for key, inner in one.get("properties", {}).items():
            found.setdefault(key, definition(inner, whole))
    return found


def words_at(own: Schema, whole: Schema) -> list[str]:
    """The words of which a value is one; of a list, those of each item."""
    found: dict[str, None] = {}
    for one in forms(own, whole):
        if "const" in one:
            found[str(one["const"])] = None
        found |= dict.fromkeys(map(str, one.get("enum", ())))
        if one.get("type") == "boolean":
            found |= {"true": None, "false": None}
        if isinstance(items := one.get("items"), Mapping):
            found |= dict.fromkeys(words_at(items, whole))
    return list(found)
