"""Text for the file with the values that it lacks left open, each with an example beside it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reviewer.model.design import Aircraft, Check, Design, Function, Monitor
from reviewer.model.fields import key_of
from reviewer.model.operation import Phase, State
from reviewer.model.parts import Battery, Load
from reviewer.model.places import CellPlace
from reviewer.rulebook.file_entries import GROUPS, attribute_of, entry_at, model_of
from reviewer.rulebook.numbers import and_list

#: whole sections of a file, with what an entry of each must have
SECTIONS: Mapping[str, Mapping[str, Any]] = {
    "functions": {"NAME": Function},
    "operation": {"normal": None, "states": {"NAME": State}, "phases": {"NAME": Phase}},
    "watch": {"monitors": {"NAME": Monitor}, "checks": {"NAME": Check}},
}
#: items that a snippet shows
SHOWN = 3
#: what a new state says, unless the words ask for a key of the states
_OF_A_STATE = ("like", "use", "engine", "switches")
_ITS_KEY = re.compile(r"`([a-z-]+)` ")
_A_KEY = re.compile(r"`([a-z-]+)`")


def snippet(wanted: Mapping[str, Sequence[str]], design: Design) -> Iterator[str]:
    """Lines for the file: items, as pointers, with the keys that each lacks.

    What a path, a row of a table or an assembly makes cannot be written again under ``parts`` or
    ``wires``: of it the lines are comments that name the place of the path, row or call and what to
    add there.
    """
    shown = list(wanted.items())[:SHOWN]
    written: dict[str, Any] = {}
    for item, keys in shown:
        if circuit_of(item, design) or call_of(item, design) or _cell(item, design):
            continue
        below = written
        for step in item.split("/"):
            below = below.setdefault(step, {})
        model = model_of(item, design) or dict(GROUPS.values()).get(item, Aircraft)
        below.update(dict.fromkeys(_open(model, key) for key in keys))
    yield from _nested(written, 0)
    for item, keys in shown:
        if cell := _cell(item, design):
            yield from _in_row(item, keys, cell, design)
        elif call := call_of(item, design):
            yield from _in_call(item, keys, call, design)
        elif circuit := circuit_of(item, design):
            yield from _in_path(item, keys, circuit, design)
    if len(wanted) > SHOWN:
        depth = shown[0][0].count("/") if written else 0
        yield "  " * depth + f"# and so on for {len(wanted) - SHOWN} more"


def sections(names: Sequence[str], design: Design) -> Iterator[str]:
    """Lines for whole sections that a file lacks, and the short way where states can be made."""
    for section in names:
        yield f"{section}:"
        yield from _entries(SECTIONS[section], 2, _own_names(design))
    if "operation" in names and design.unstated:
        yield f"# or, in place of `operation`: `normal:` at {', '.join(design.unstated)}"


def states(words: str) -> Iterator[str]:
    """Lines for a state that a file lacks, with what it is to be like in a comment, and the keys that the
    words name; where they begin with a key of the states, for that key alone."""
    own = _ITS_KEY.match(words)
    named = [key for key in _A_KEY.findall(words) if attribute_of(State, key)]
    yield from ("operation:", "  states:", f"    # {words}", "    NAME:")
    yield from (
        f"      {_open(State, key)}" for key in ([own[1]] if own else dict.fromkeys([*_OF_A_STATE, *named]))
    )


def _own_names(design: Design) -> dict[str, Any]:
    """Examples of keys that name parts and states: those of the design."""
    own: dict[str, Any] = {}
    if batteries := design.of_kind(Battery):
        own["senses"] = f"{batteries[-1]}.positive"
    if loads := design.of_kind(Load):
        own |= {"of": list(loads[:2]), "watch": [loads[0]]}
    if design.operation is not None and design.operation.states:
        own["state"] = next(iter(design.operation.states))
    return own


def _nested(written: Mapping[str, Any], depth: int) -> Iterator[str]:
    for step, below in written.items():
        yield "  " * depth + (step if below is None else f"{step}:")
        yield from _nested(below or {}, depth + 1)


def call_of(item: str, design: Design) -> str:
    """What is installed of which a part or wire is made; "" for one that no assembly makes."""
    place = design.places.get(item)
    if not item.startswith(("parts/", "wires/")):
        return ""
    calls = (k for k, at in design.places.items() if at == place and k.startswith("installed/"))
    return next((key.partition("/")[2] for key in calls if key.count("/") == 1), "")


def _cell(item: str, design: Design) -> CellPlace | None:
    """The cell of a table from which something is made."""
    place = design.places.get(item)
    return place if isinstance(place, CellPlace) else None


def _in_row(item: str, keys: Sequence[str], cell: CellPlace, design: Design) -> Iterator[str]:
    name = item.partition("/")[2]
    yield f"# {cell.words}, of {name}:"
    for key in keys:
        where, said = in_row(item, key, cell, design)
        yield f"#   {where}, as `{said}`"


def in_row(item: str, key: str, cell: CellPlace, design: Design) -> tuple[str, str]:
    """Where a key of what a row makes is written, and an example of its value there."""
    entry = entry_at(item, design)
    wire = item.startswith("wires/")
    said = _said(type(entry), key)
    of_loads = any((t.file, t.sheet, t.list_) == (cell.table, cell.sheet, "loads") for t in design.tables)
    if wire and of_loads and key not in ("gauge", "length"):
        return f"a column with its `{key}` in a wire list, and `wires: elsewhere` at this table", said
    if wire or entry.kind in ("load", "instrument"):
        example = said.removeprefix(f"{key} ")
        return f"a column with its `{key}`, named under `columns` of the table", example
    if entry.kind == "switch":
        name = item.partition("/")[2]
        named = f'"{name}"' if " " in name else name
        return f"in what `words` of the table says for {name}", f"switch as {named} ({said})"
    return f"in brackets after the {entry.kind}", f"{entry.kind} ({said})"


def _in_call(item: str, keys: Sequence[str], call: str, design: Design) -> Iterator[str]:
    entry, name = entry_at(item, design), item.partition("/")[2]
    what = "wire " if item.startswith("wires/") else ""
    yield f"# line {design.places[item][0]}, installed as {call}:"
    said = ", ".join(f"{key}: {_plain(example_of(type(entry), key))}" for key in keys)
    yield f"#   of {what}{name}, as `{said}`: in the call where it takes that, else in the assembly"


def circuit_of(item: str, design: Design) -> str:
    """The circuit whose path makes a part or wire; "" for one that stands in a section of its own."""
    place, start = design.places.get(item), design.places.get("circuits")
    if place is None or start is None or place < start or not item.startswith(("parts/", "wires/")):
        return ""
    if isinstance(place, CellPlace):
        return ""
    if any(start < at <= place for key, at in design.places.items() if key and "/" not in key):
        return ""
    above = [
        (at, key)
        for key, at in design.places.items()
        if key.startswith("circuits/") and key.count("/") == 1 and at <= place
    ]
    return max(above)[1].partition("/")[2] if above else ""


def _in_path(item: str, keys: Sequence[str], circuit: str, design: Design) -> Iterator[str]:
    entry, name = entry_at(item, design), item.partition("/")[2]
    line = f"# line {design.places[item][0]}, in the path of {circuit}"
    grouped = [key for key in keys if isinstance(example_of(type(entry), key), dict)]
    said = [_said(type(entry), key) for key in keys if key not in grouped]
    if said and item.startswith("wires/"):
        yield f"{line}, between {entry.from_} and {entry.to}:"
        yield f"#   of wire {name}, as `{' '.join(said)}`"
    elif said:
        yield f"{line}, in the brackets ( ) of {name}:"
        yield f"#   as `{', '.join(said)}`"
    if grouped:
        named = and_list(f"`{key}`" for key in grouped)
        yield f"{line}, leave the name {name} alone:"
        yield f"#   write {name} with its {named} under `parts`"


def _said(model: type, key: str) -> str:
    """A key with an example, as a path has it; a gauge and a length need no key."""
    example = example_of(model, key)
    if example is True:
        return key
    words = " ".join(map(_plain, example)) if isinstance(example, list) else _plain(example)
    return words if key in ("gauge", "length") else f"{key} {words}"


def _entries(entries: Mapping[str, Any], indent: int, own: Mapping[str, Any]) -> Iterator[str]:
    for name, below in entries.items():
        yield " " * indent + f"{name}:"
        if isinstance(below, Mapping):
            yield from _entries(below, indent + 2, own)
        elif below is not None:
            fields: Mapping[str, Any] = below.model_fields
            for field, what in fields.items():
                if what.is_required():
                    key = key_of(field)
                    yield " " * (indent + 2) + (_with(key, own[key]) if key in own else _open(below, key))


def example_of(model: Any, key: str) -> Any:
    """The first example of a key of a model; None without one."""
    attribute = attribute_of(model, key)
    return next(iter(model.model_fields[attribute].examples or ()), None) if attribute else None


def _open(model: Any, key: str) -> str:
    example = example_of(model, key)
    return _with(key, example) if example is not None else f"{key}:"


def _with(key: str, example: object) -> str:
    return f"{key}:  # as {_plain(example)}"


def _plain(value: object) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_plain, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{k}: {_plain(v)}' for k, v in value.items())}}}"
    return str(value).lower() if isinstance(value, bool) else str(value)
