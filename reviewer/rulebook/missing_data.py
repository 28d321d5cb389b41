"""What to write for what was not assessed: keys and where they go, by how many rules lack them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reviewer.model.design import Aircraft, Check, CommonWire, Design, Function, Monitor
from reviewer.model.fields import key_of
from reviewer.model.operation import Action, Operation, Phase, State
from reviewer.model.parts import Wire
from reviewer.model.review import Gap, HazardClass, Question

#: whole sections of a file, with what an entry of each must have
SECTIONS: Mapping[str, Mapping[str, Any]] = {
    "functions": {"NAME": Function},
    "operation": {"normal": None, "states": {"NAME": State}, "phases": {"NAME": Phase}},
    "watch": {"monitors": {"NAME": Monitor}, "checks": {"NAME": Check}},
}
#: where the entries of a file stand that are no parts
_GROUPS: Mapping[str, tuple[str, type]] = {
    "wire": ("wires", Wire),
    "function": ("functions", Function),
    "state": ("operation/states", State),
    "phase": ("operation/phases", Phase),
    "action": ("operation/actions", Action),
    "monitor": ("watch/monitors", Monitor),
    "check": ("watch/checks", Check),
    "operation": ("operation", Operation),
    "aircraft": ("aircraft", Aircraft),
    "all wires": ("aircraft/wire", CommonWire),
}
#: where it is said what all wires are made of, as a rule asks for it
COMMON = "aircraft.wire"
#: items that a snippet shows
_SHOWN = 3
_KEY = re.compile(r"`([a-z][a-z.-]*)`")
_WORD = re.compile(r"[^\s,;:()`]+")


def questions_of(gaps: Sequence[Gap], design: Design) -> tuple[Question, ...]:
    """One question for each kind of item that lacks data, what most rules lack first."""
    lacking: dict[str, list[tuple[str, str, Gap]]] = {}
    for gap in gaps:
        for kind, key, item in _asked(gap, design):
            lacking.setdefault(kind, []).append((key, item, gap))
    return tuple(
        sorted(
            (_question(kind, asked, design) for kind, asked in lacking.items()),
            key=lambda q: (-q.rules, -q.hazard, q.kind),
        )
    )


def _question(kind: str, asked: Sequence[tuple[str, str, Gap]], design: Design) -> Question:
    by_key: dict[str, set[str]] = {}
    for key, _, gap in asked:
        by_key.setdefault(key, set()).add(gap.rule)
    keys = tuple(sorted(by_key, key=lambda key: (-len(by_key[key]), key)))
    items = tuple(dict.fromkeys(item for _, item, _ in asked if item))
    hazard = max((gap.hazard for _, _, gap in asked), default=HazardClass.MINOR)
    wanted = {
        item: [k for k in keys if (k, item) in {(a, b) for a, b, _ in asked}] for item in items[:_SHOWN]
    }
    rules = {gap.rule for _, _, gap in asked}
    return Question(
        kind, keys, items, len(rules), hazard, "\n".join(_snippet(kind, keys, wanted, items, design))
    )


def _asked(gap: Gap, design: Design) -> Iterator[tuple[str, str, str]]:
    """(kind of item, key, item) of everything that a gap asks for; the item of a section is ""."""
    named = [
        pointer
        for word in _WORD.findall(_KEY.sub(" ", gap.needs))
        for pointer in (f"parts/{word.rstrip('.')}", f"wires/{word.rstrip('.')}")
        if _model(pointer, design) is not None
    ]
    keys = dict.fromkeys(_KEY.findall(gap.needs))
    if COMMON in keys:  # said once for all wires rather than at each
        yield from (("all wires", key, COMMON.replace(".", "/")) for key in keys if key != COMMON)
        return
    for key in keys:
        if key in SECTIONS:
            yield "section", key, ""
            continue
        own = [item for item in (*named, gap.subject) if _has(item, key, design)]
        for item in own or _elsewhere(key, design):
            yield _kind(item, design), key, item


def _elsewhere(key: str, design: Design) -> list[str]:
    """Where a key belongs that the gap names no item for: wires without it, the flight, the aircraft."""
    attribute = _attribute(Wire, key)
    if attribute:
        return [f"wires/{name}" for name, wire in design.wires.items() if getattr(wire, attribute) is None]
    if _attribute(Operation, key):
        return ["operation"]
    if _attribute(Aircraft, key):
        return ["aircraft"]
    return [
        f"parts/{name}"
        for name, part in design.parts.items()
        if (own := _attribute(type(part), key)) and getattr(part, own) is None
    ]


def _has(item: str, key: str, design: Design) -> bool:
    model = _model(item, design)
    return model is not None and _attribute(model, key) is not None


def _model(item: str, design: Design) -> Any:
    """The model of the entry that a pointer names."""
    kind, _, name = item.partition("/")
    if kind == "parts":
        return type(design.parts[name]) if name in design.parts else None
    if kind == "wires":
        return Wire if name in design.wires else None
    return next((m for group, m in _GROUPS.values() if group in (item, item.rpartition("/")[0])), None)


def _attribute(model: type, key: str) -> str | None:
    fields = getattr(model, "model_fields", {})
    return next((name for name in fields if key_of(name) == key), None)


def _kind(item: str, design: Design) -> str:
    group, _, name = item.partition("/")
    if group == "parts":
        return str(design.parts[name].kind)
    above = item.rpartition("/")[0] or item
    return next((kind for kind, (where, _) in _GROUPS.items() if where == above), above)


def _snippet(
    kind: str, keys: Sequence[str], wanted: Mapping[str, Sequence[str]], items: Sequence[str], design: Design
) -> Iterator[str]:
    """Lines for the file, each value open, with an example beside it."""
    if kind == "section":
        for section in keys:
            yield f"{section}:"
            yield from _entries(SECTIONS[section], 2)
        return
    group = "parts"
    for item, own in wanted.items():
        if item == next(iter(wanted)):
            group = item.rpartition("/")[0]
            steps = group.split("/") if group else []
            yield from ("  " * depth + f"{step}:" for depth, step in enumerate(steps))
        depth = len(group.split("/")) if group else 0
        yield "  " * depth + f"{item.rpartition('/')[2]}:"
        model = _model(item, design) or dict(_GROUPS.values()).get(item, Aircraft)
        for key in own:
            yield "  " * (depth + 1) + _open(model, key)
    if len(items) > len(wanted):
        yield (
            "  " * (len(group.split("/")) if group else 0)
            + f"# and so on for {len(items) - len(wanted)} more"
        )


def _entries(entries: Mapping[str, Any], indent: int) -> Iterator[str]:
    for name, below in entries.items():
        yield " " * indent + f"{name}:"
        if isinstance(below, Mapping):
            yield from _entries(below, indent + 2)
        elif below is not None:
            fields: Mapping[str, Any] = below.model_fields
            for field, what in fields.items():
                if what.is_required():
                    yield " " * (indent + 2) + _open(below, key_of(field))


def _open(model: Any, key: str) -> str:
    attribute = _attribute(model, key)
    examples = model.model_fields[attribute].examples if attribute else None
    return f"{key}:" + (f"  # as {_plain(examples[0])}" if examples else "")


def _plain(value: object) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_plain, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{k}: {_plain(v)}' for k, v in value.items())}}}"
    return str(value).lower() if isinstance(value, bool) else str(value)
