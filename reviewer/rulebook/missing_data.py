"""What to write for what was not assessed: keys and where they go, the gravest first."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from reviewer.analysis.not_assessable import A_STATE
from reviewer.model.design import Aircraft, Design
from reviewer.model.operation import Operation
from reviewer.model.parts import Wire
from reviewer.model.review import Gap, HazardClass, Question
from reviewer.rulebook.file_entries import attribute_of, kind_at, lacks, model_of
from reviewer.rulebook.missing_snippets import SECTIONS, sections, snippet, states

#: where it is said what all wires are made of, as a rule asks for it
COMMON = "aircraft.wire"
#: where the air about wires and parts is said
ZONES = "aircraft.zones"
#: the kind of question that asks for a state, or for what the states lack, in words
STATES = "states"
#: kinds of items that gauges, lengths and materials are asked of
_OF_WIRES = ("wire", "all wires")
#: questions at the concept stage, and the kinds of parts that one of them is about together
AT_CONCEPT = 10
_TOGETHER = {"breaker": "circuit protection", "fuse": "circuit protection", "limiter": "circuit protection"}
_KEY_OR_WORD = re.compile(r"`([a-z][a-z.-]*)`|[^\s,;:()`]+")
_ZONE = re.compile(r"of the zone ([^\s,]+)")
_OPERATION = re.compile(r"of the operation\b")
#: the zones of which a sentence asks for the air
_NAMED_ZONES = re.compile(r"`max-ambient` of (.+?) in `aircraft\.zones`")
#: what would do in place of the key before it
_OTHERWISE = re.compile(r"(?<=`) or `[a-z.-]+`")


def questions_of(gaps: Sequence[Gap], design: Design) -> tuple[Question, ...]:
    """One question for each kind of item that lacks data: the gravest first, then what most rules lack.

    At the concept stage, which is about topology, at most :data:`AT_CONCEPT`, nothing of wires, and
    states alone for rules of class minor.
    """
    concept = design.aircraft.stage == "concept"
    lacking: dict[tuple[str, str], list[tuple[str, str, Gap]]] = {}
    for gap in gaps:
        for kind, key, item in asked_of(gap, design):
            of_its_own = key if kind == STATES else ""
            kind = _TOGETHER.get(kind, kind) if concept else kind
            lacking.setdefault((kind, of_its_own), []).append((key, item, gap))
    found = sorted(
        (_question(kind, asked, design) for (kind, _), asked in lacking.items()),
        key=lambda q: (-q.hazard, -q.rules, q.kind, q.keys if q.kind == STATES else ()),
    )
    return tuple(found[:AT_CONCEPT] if concept else found)


def _question(kind: str, asked: Sequence[tuple[str, str, Gap]], design: Design) -> Question:
    by_key: dict[str, set[str]] = {}
    for key, _, gap in asked:
        by_key.setdefault(key, set()).add(gap.rule)
    keys = tuple(sorted(by_key, key=lambda key: (-len(by_key[key]), key)))
    items = tuple(dict.fromkeys(item for _, item, _ in asked if item))
    hazard = max((gap.hazard for _, _, gap in asked), default=HazardClass.MINOR)
    pairs = {(key, item) for key, item, _ in asked}
    wanted = {item: [key for key in keys if (key, item) in pairs] for item in items}
    rules = {gap.rule for _, _, gap in asked}
    lines = _written(kind, keys, wanted, design)
    return Question(kind, keys, items, len(rules), hazard, "\n".join(lines))


def _written(
    kind: str, keys: Sequence[str], wanted: Mapping[str, Sequence[str]], design: Design
) -> Iterator[str]:
    """The lines for the file that a question asks for."""
    if kind == STATES:
        return states(keys[0])
    return sections(keys, design) if kind == "section" else snippet(wanted, design)


def asked_of(gap: Gap, design: Design) -> Iterator[tuple[str, str, str]]:
    """What a gap asks for at the stage of the design: at the concept stage nothing of wires, and for a
    rule of class minor states alone."""
    concept = design.aircraft.stage == "concept"
    for asked in _asked(gap, design):
        detail = asked[0] in _OF_WIRES or (gap.hazard <= HazardClass.MINOR and asked[0] != STATES)
        if not (concept and detail):
            yield asked


def _asked(gap: Gap, design: Design) -> Iterator[tuple[str, str, str]]:
    """(kind of item, key, item) of everything that a gap asks for; the item of a section is "".

    Where the rule or engine says what lacks what, that; else what its sentence names. Nobody is
    asked for what stands in the file.
    """
    if gap.lacks == A_STATE:  # which one only the words say
        yield STATES, gap.needs, ""
        return
    if gap.lacks:
        told = ((item, key) for item, key in gap.lacks if lacks(item, key, design))
        yield from ((kind_at(item, design), key, item) for item, key in told)
        return
    clauses = _clauses(_OTHERWISE.sub("", gap.needs), design)
    if any(key == COMMON for key, _ in clauses):  # said once for all wires rather than at each
        yield from (("all wires", key, COMMON.replace(".", "/")) for key, _ in clauses if key != COMMON)
        return
    if any(key == ZONES for key, _ in clauses):
        clauses = [(key, named) for key, named in clauses if key not in (ZONES, "max-ambient")]
        yield from _of_zones(gap.needs, design)
    everything = [item for _, named in clauses for item in named]
    for key, named in clauses:
        if key in SECTIONS:
            yield "section", key, ""
            continue
        for item in _lacking(key, named or everything, gap.subject, design):
            yield kind_at(item, design), key, item


def _of_zones(needs: str, design: Design) -> Iterator[tuple[str, str, str]]:
    """The warmest air of the zones that a sentence names, else of all; without any the zones."""
    said = _NAMED_ZONES.search(needs)
    names = said[1].split(" and ") if said else list(design.aircraft.zones)
    if not names:
        yield kind_at("aircraft", design), "zones", "aircraft"
    for item in (f"aircraft/zones/{name}" for name in names):
        if lacks(item, "max-ambient", design):
            yield kind_at(item, design), "max-ambient", item


def _clauses(needs: str, design: Design) -> list[tuple[str, list[str]]]:
    """Each key of a sentence with the items that follow it, before the next clause: in `` `gauge` and
    `length` of W1, `rating` of fuse`` the wire has the first two."""
    clauses: list[tuple[str, list[str]]] = []
    open_keys: list[list[str]] = []
    zones = {found[1] for found in _ZONE.finditer(needs)}
    flown = _OPERATION.search(needs) is not None  # a part may have a key of the same name
    for found in _KEY_OR_WORD.finditer(needs):
        if found[1]:
            if any(open_keys):
                open_keys = []
            open_keys.append([])
            clauses.append((found[1], open_keys[-1]))
            continue
        word = found[0].rstrip(".")
        items = [p for p in (f"parts/{word}", f"wires/{word}") if model_of(p, design) is not None]
        items = [f"aircraft/zones/{word}"] if word in zones and not items else items
        items = ["operation"] if word == "operation" and flown and not items else items
        for named in open_keys:
            named.extend(items)
    return clauses


def _lacking(key: str, named: Sequence[str], subject: str, design: Design) -> list[str]:
    """What lacks a key: of what a sentence names, where it may have the key; else the subject; else
    wherever the key belongs."""
    own = [item for item in dict.fromkeys(named) if _may_have(item, key, design)]
    if own:
        return [item for item in own if lacks(item, key, design)]
    return [subject] if lacks(subject, key, design) else _elsewhere(key, design)


def _may_have(item: str, key: str, design: Design) -> bool:
    model = model_of(item, design)
    return model is not None and attribute_of(model, key) is not None


def _elsewhere(key: str, design: Design) -> list[str]:
    """Where a key belongs that the gap names no item for: wires without it, the flight, the aircraft."""
    if attribute_of(Wire, key):
        items = [f"wires/{name}" for name in design.wires]
    elif attribute_of(Operation, key):
        return ["operation"]
    elif attribute_of(Aircraft, key):
        return ["aircraft"]
    else:
        items = [f"parts/{name}" for name in design.parts]
    return [item for item in items if lacks(item, key, design)]
