"""Pages about the format of a design file, made from its JSON Schema: a kind, a section, a key."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from reviewer.model.fields import key_of
from reviewer.model.parts import PART_KINDS, Part
from reviewer.reading.problem import flow
from reviewer.reports.format_words import (
    Schema,
    choices_of,
    choosable,
    definition,
    entry_of,
    example_of,
    group_name,
    keys_of,
    owners_of,
    words_at,
)
from reviewer.reports.layout import headed, lines_of
from reviewer.reports.path_page import path_page

#: the page about the whole format
FORMAT = "format"
_TERMINAL = "`part.terminal`"
#: what is not broken over two lines: a short example
_EXAMPLE = re.compile(r"`[^`]{1,30}`")
#: keys of a part that every kind has: said once, on the page of `parts`
_EVERYWHERE = frozenset(map(key_of, Part.model_fields))


def topics(schema: Schema) -> list[str]:
    """Every word that has a page: the format, its sections, kinds, groups and keys, and what may be chosen at
    a key."""
    sections = [FORMAT, *schema["properties"]]
    groups = [
        group_name(name)
        for name, own in schema["$defs"].items()
        if name[:1].islower() and "allOf" not in own  # a branch over kinds has no keys of its own
    ]
    return list(dict.fromkeys([*sections, *groups, *keys_of(schema), *choosable(schema)]))


def format_page(topic: str, schema: Schema, width: int = 100) -> str:
    """The page of a topic, one of :func:`topics`."""
    lines = list(headed(topic, width))
    if topic == FORMAT:
        lines += _whole(schema, width)
    elif topic in schema["properties"]:
        lines += _section(topic, schema, width)
    elif entry := schema["$defs"].get(f"part-{topic}") or schema["$defs"].get(topic):
        lines += _group(topic, entry, schema, width)
    if topic not in schema["properties"] and (owners := list(owners_of(topic, schema))):
        lines += _key(topic, owners, schema, width)
    for key in choosable(schema).get(topic, ()):
        lines += _choice(topic, key, schema, width)
    return "\n".join(lines) + "\n"


def _choice(topic: str, key: str, schema: Schema, width: int) -> Iterator[str]:
    """What a word means at a key: what the key says, and the others that may stand there."""
    owners = [(name, own) for name, own in owners_of(key, schema) if topic in words_at(own, schema)]
    yield ""
    yield from lines_of(f"A choice at `{key}`, as `{key}: {topic}`.", width)
    yield from _key(key, owners, schema, width)


def _whole(schema: Schema, width: int) -> Iterator[str]:
    yield ""
    yield from lines_of(f"{schema['title']}, as YAML or JSON. {schema['description']}", width)
    yield ""
    yield "Sections, in any order:"
    required = schema["required"]
    for key, own in schema["properties"].items():
        must = "; must be there" if key in required else ""
        yield from _described(key, f"{own['description'].rstrip('.')}{must}.", width)
    yield ""
    yield "The smallest file that can be reviewed has these and either `circuits`, or `parts` and `wires`:"
    yield ""
    for key in required:
        example = example_of(schema["properties"][key])
        yield f"    {key}: {flow(example)}"
    yield ""
    yield from lines_of(
        "A figure carries its unit: `5 A`, `14.2 V`, `18 AWG`. An estimate says so: `~5 A`, or its "
        "ends, `4 to 6 A`. `reviewer explain SECTION`, KIND or KEY tells more of each.",
        width,
    )


def _section(topic: str, schema: Schema, width: int) -> Iterator[str]:
    own = schema["properties"][topic]
    yield ""
    yield from lines_of(own["description"], width)
    if topic == "parts":
        yield from _kinds(schema, width)
        return
    entry = entry_of(own, schema)
    if entry is not None:
        yield from _keys(entry, schema, width)
    else:
        inner = own.get("additionalProperties")
        about = inner if isinstance(inner, Mapping) else own
        if about is not own:
            yield from lines_of(about["description"], width)
    yield from _examples(topic, own)
    if topic == "circuits":
        yield from path_page(width)


def _kinds(schema: Schema, width: int) -> Iterator[str]:
    yield ""
    yield "Kinds (`reviewer explain KIND` has the keys of each):"
    for kind in PART_KINDS:
        yield from _described(kind, _first(schema["$defs"][f"part-{kind}"]), width)
    yield ""
    yield "Every part may have:"
    bus = schema["$defs"]["part-bus"]["properties"]
    for key in sorted(_EVERYWHERE):
        yield from _told(key, bus[key], schema, width)
    yield from _examples("parts", schema["properties"]["parts"])


def _group(topic: str, entry: Schema, schema: Schema, width: int) -> Iterator[str]:
    yield ""
    yield from lines_of(" ".join(entry["description"].split()), width)
    if topic in PART_KINDS:
        yield from lines_of(_terminals(topic, schema), width)
    if where := _where(topic, schema):
        yield from lines_of(f"It goes under {where}.", width)
    yield from _keys(entry, schema, width)
    if topic in PART_KINDS:
        yield ""
        yield "For example:"
        yield ""
        yield f"    my-{topic}: {flow(_smallest(topic, schema))}"


def _terminals(kind: str, schema: Schema) -> str:
    model = PART_KINDS[kind]
    if model.open_ended:
        return "Terminals: those that the wires name, all joined."
    part = model.model_validate(_smallest(kind, schema))
    own = model.model_fields
    by_keys = [k for k in map(key_of, own) if k in _NAME_TERMINALS]
    said = f"Terminals: {', '.join(part.terminals())}"
    if spare := part.spare_terminals():
        said += f"; where something is wired to it also {', '.join(spare)}"
    if by_keys:
        said += f" (as in the example; {', '.join(f'`{k}`' for k in by_keys)} may give others)"
    return said + "."


#: keys of parts that name terminals
_NAME_TERMINALS = (
    "excitation", "positions", "coil", "contacts", "supplies", "returns", "inputs", "outputs", "pins",
)  # fmt: skip


def _smallest(kind: str, schema: Schema) -> dict[str, Any]:
    """A part of a kind with the keys that it must have."""
    entry = schema["$defs"][f"part-{kind}"]
    needed = [key for key in entry.get("required", ()) if key != "kind"]
    return {"kind": kind, **{key: example_of(entry["properties"][key]) for key in needed}}


def _where(topic: str, schema: Schema) -> str:
    """The section, or key of a section, whose entries are of a group."""
    if topic in PART_KINDS:
        return "`parts`, by a name of your own"
    at = f"#/$defs/{topic}"
    for section, own in schema["properties"].items():
        named = {section: own}
        named |= {f"{section}: {k}": v for k, v in definition(own, schema).get("properties", {}).items()}
        for place, found in named.items():
            for how, key in (("by a name of your own", "additionalProperties"), ("in a list", "items")):
                if isinstance(inner := found.get(key), Mapping) and inner.get("$ref") == at:
                    return f"`{place}`, {how}"
    return ""


def _keys(entry: Schema, schema: Schema, width: int) -> Iterator[str]:
    """The keys of a group: those that it must have, then those that it may have."""
    properties = {k: v for k, v in entry["properties"].items() if k != "kind"}
    needed = [key for key in properties if key in entry.get("required", ())]
    common = [key for key in properties if key in _EVERYWHERE] if "kind" in entry["properties"] else []
    others = [key for key in properties if key not in needed and key not in common]
    for title, keys in (("Must have:", needed), ("May have:", others)):
        if keys:
            yield ""
            yield title
        for key in keys:
            yield from _told(key, properties[key], schema, width)
    if common:
        yield ""
        yield from lines_of(f"As every part it may have {', '.join(f'`{k}`' for k in common)}.", width)


def _key(topic: str, owners: list[tuple[str, Schema]], schema: Schema, width: int) -> Iterator[str]:
    """What a key means, once for all that have it with the same meaning."""
    meanings: dict[str, list[str]] = {}
    for owner, own in owners:
        what = what_of(own, schema)
        meanings.setdefault(what, []).append(owner)
    for what, of in meanings.items():
        named = "every part" if set(PART_KINDS) <= set(of) else ", ".join(of)
        yield ""
        yield from lines_of(f"Key of {named}:", width)
        yield from _wrapped(what, width, 2)


def _told(key: str, own: Schema, schema: Schema, width: int) -> Iterator[str]:
    yield from _described(key, what_of(own, schema), width)


def what_of(own: Schema, schema: Schema) -> str:
    """What a key means, what may stand there and an example; what holds where it is left out."""
    found = definition(own, schema)
    said = [" ".join(found.get("description", "").split())]
    choices, example = choices_of(own, schema), example_of(found)
    chosen = choices.startswith(("one of", "`true`", "`")) and _TERMINAL not in choices
    shown = f"as `{flow(example)}`" if example is not None and not chosen else ""
    if may := ", ".join(filter(None, (choices, shown))):
        said.append(f"{_capital(may)}.")
    default = found.get("default")
    if default is not None and default not in ([], {}, ""):
        said.append(f"Left out: `{flow(default)}`.")
    return " ".join(filter(None, said))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _described(key: str, about: str, width: int) -> list[str]:
    return _wrapped(f"{key}: {about}", width, 2, 6)


def _wrapped(text: str, width: int, first: int = 0, then: int | None = None) -> list[str]:
    """The text wrapped, a figure never parted from its unit."""
    whole = _EXAMPLE.sub(lambda found: found[0].replace(" ", "\u00a0"), text)
    return [line.replace("\u00a0", " ") for line in lines_of(whole, width, first, then)]


def _first(entry: Schema) -> str:
    """The first sentence of a description."""
    return " ".join(entry["description"].split("\n\n")[0].split())


def _examples(topic: str, own: Schema) -> Iterator[str]:
    example = example_of(own)
    if not example:
        return
    yield ""
    yield "For example:"
    yield ""
    if not isinstance(example, Mapping):
        yield f"    {topic}: {flow(example)}"
        return
    yield f"    {topic}:"
    for key, value in example.items():
        yield f"      {key}: {flow(value)}"
