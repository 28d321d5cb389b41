"""What may be written at a place of a design file: keys, kinds, words, names, terminals, units."""

from __future__ import annotations

import re
from collections.abc import Iterator

from reviewer.editor.cursor import Cursor
from reviewer.editor.format_at import forms, group_at, keys_at, words_at
from reviewer.editor.written_names import KEYED, NAMING
from reviewer.model.design import Design
from reviewer.model.parts import PART_KINDS, Switch
from reviewer.model.record import record
from reviewer.reading.circuits.kinds_in_line import IN_LINE, WIRE, vocabulary
from reviewer.reading.problem import flow
from reviewer.reports.format_words import UNITS, Schema, choices_of, definition, example_of

_NUMBER = re.compile(r"~?[0-9]+(?:\.[0-9]*)?$")
_TERMINALS = ("from", "to", "shield", "senses", "mounted-on", "commanded-by")


@record
class Completion:
    """Something that may be written: its ``text``, what it is (``key``, ``kind``, ``word``, ``name``,
    ``terminal``, ``unit`` or ``example``) and what is said of it."""

    text: str
    what: str
    about: str = ""


def completions(cursor: Cursor, whole: Schema, design: Design | None, json: bool) -> list[Completion]:
    """What may stand at a cursor, without what does not begin with the letters that are typed there.

    ``design`` is the last one that the text could be read as; None offers no names.
    """
    found = _keys(cursor, whole, design, json) if not cursor.key else _values(cursor, whole, design)
    typed = cursor.typed.casefold()
    by_text = {one.text: one for one in found if one.text.casefold().startswith(typed) or one.what == "unit"}
    return list(by_text.values())


def _keys(cursor: Cursor, whole: Schema, design: Design | None, json: bool) -> Iterator[Completion]:
    section = cursor.steps[-1] if cursor.steps else ""
    if design is not None and section in KEYED:
        yield from _named_keys(cursor, design, section)
    own = group_at(cursor.steps, cursor.kind, whole)
    if own is None:
        return
    for key, inner in keys_at(own, whole).items():
        if key not in cursor.there:
            text = key if json else f"{key}: "
            yield Completion(text, "key", about_key(inner, whole))


def _named_keys(cursor: Cursor, design: Design, section: str) -> Iterator[Completion]:
    names = design.of_kind(Switch) if KEYED[section] == "parts" else _of_group(design, KEYED[section])
    for name in names:
        if name not in cursor.there:
            yield Completion(f"{name}: ", "name")


def about_key(inner: Schema, whole: Schema) -> str:
    """What a key means, what it takes, and an example."""
    takes = choices_of(inner, whole)
    example = example_of(inner)
    said = inner.get("description", "")
    if takes:
        said = f"{said} {takes[:1].upper()}{takes[1:]}."
    return f"{said} For example `{flow(example)}`." if example is not None else said


def _values(cursor: Cursor, whole: Schema, design: Design | None) -> Iterator[Completion]:
    if cursor.steps[:1] == ("circuits",):
        yield from _in_path(cursor, design)
        return
    if cursor.key == "kind" and cursor.steps[:1] == ("parts",):
        for kind in PART_KINDS:
            yield Completion(kind, "kind", whole["$defs"][f"part-{kind}"]["description"])
        return
    above = cursor.steps[-1] if cursor.steps else ""
    part = design.parts.get(cursor.key) if design and KEYED.get(above) == "parts" else None
    if isinstance(part, Switch):
        yield from (Completion(position, "word") for position in part.positions)
    if design is not None and cursor.key in NAMING:
        yield from _names(cursor, design)
    own = group_at((*cursor.steps, cursor.key), cursor.kind, whole)
    if own is None:
        own = group_at(cursor.steps, cursor.kind, whole)  # an item of a list
    if own is None:
        return
    yield from (Completion(word, "word") for word in words_at(own, whole))
    yield from _figures(cursor, own, whole)


def _figures(cursor: Cursor, own: Schema, whole: Schema) -> Iterator[Completion]:
    """The units of a figure, after its number; before it an example."""
    number = _NUMBER.search(cursor.typed or cursor.before.rstrip())
    for one in forms(own, whole):
        pattern = one.get("pattern", "")
        units = UNITS.search(pattern)
        known = units[1].split("|") if units else ["AWG", "mm2"] if "AWG" in pattern else []
        if number and known:
            lead = f"{number[0]} " if cursor.typed else ""
            yield from (Completion(f"{lead}{unit}", "unit") for unit in known)
        elif known and (example := example_of(definition(own, whole))) is not None:
            yield Completion(flow(example), "example")


def _names(cursor: Cursor, design: Design) -> Iterator[Completion]:
    owner, dot, _ = cursor.typed.partition(".")
    part = design.parts.get(owner)
    if dot and part is not None:
        for terminal in dict.fromkeys((*part.terminals(), *part.spare_terminals())):
            yield Completion(f"{owner}.{terminal}", "terminal", f"of {owner}, {part.kind}")
        return
    groups = NAMING[cursor.key]
    for group in ("parts",) if cursor.key in _TERMINALS else groups:
        for name in _of_group(design, group):
            kind = (
                getattr(design.parts.get(name), "kind", "") if group == "parts" else group.removesuffix("s")
            )
            yield Completion(name, "name", kind)


def _of_group(design: Design, group: str) -> Iterator[str]:
    operation, watch = design.operation, design.watch
    known = {
        "parts": design.parts,
        "wires": design.wires,
        "functions": design.functions,
        "monitors": watch.monitors,
        "checks": watch.checks,
        "zones": design.aircraft.zones or {},
        "states": operation.states if operation else {},
        "phases": operation.phases if operation else {},
        "actions": operation.actions if operation else {},
    }
    yield from known[group]


def _in_path(cursor: Cursor, design: Design | None) -> Iterator[Completion]:
    """In a path: parts and their terminals, kinds, and what may be said of a kind in brackets."""
    number = _NUMBER.search(cursor.before.rstrip()) if not cursor.typed else None
    if number:
        yield from (Completion(unit, "unit") for unit in ("A", "mA", "V", "W", "AWG", "m", "ft", "ohm"))
        return
    opened = cursor.before.rpartition("(")[2]
    if "(" in cursor.before and ")" not in opened:
        kind = next((w for w in reversed(cursor.before.split()) if w in IN_LINE), "load")
        words = vocabulary(kind)
        yield from (Completion(w, "word", f"{key}: {value}") for w, (key, value) in words.words.items())
        yield from (Completion(key, "key", f"of a {kind}") for key in words.keys)
        return
    if design is not None:
        yield from _names(_as_end(cursor), design)
    yield from (Completion(kind, "kind") for kind in IN_LINE)
    yield from (Completion(key, "key", "of a wire") for key in vocabulary(WIRE).keys)


def _as_end(cursor: Cursor) -> Cursor:
    """The cursor as at the end of a wire: a node of a path is a terminal."""
    return Cursor(cursor.typed, cursor.steps, "to", cursor.there, cursor.before, cursor.kind)
