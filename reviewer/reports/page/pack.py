"""The states and failures as compact data for the page.

A row of bits is written as runs: how many bits are skipped, how many are set, again and again. Each
number stands in groups of seven bits, lowest first, with the eighth bit set where another group
follows. Identical rows are written once. ``script/bits.js`` reads them.
"""

from __future__ import annotations

import base64
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reviewer.model.design import Design
from reviewer.model.review import Cause, Finding
from reviewer.network.graph import bare, holder
from reviewer.questions.scenes import Failure, contacts_closed
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.schematic.sheet import DrawnSymbol
from reviewer.reports.wording import shown

#: sections of the file whose entries are drawn
_DRAWN = ("parts", "wires", "bundles")
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def packed(bits: Sequence[int]) -> str:
    """Numbers of bits, in ascending order, as base64 text."""
    octets = bytearray()
    at = first = beyond = 0
    for bit in bits:
        if bit == beyond:
            beyond += 1
            continue
        if beyond > first:
            _number(octets, first - at)
            _number(octets, beyond - first)
            at = beyond
        first, beyond = bit, bit + 1
    if beyond > first:
        _number(octets, first - at)
        _number(octets, beyond - first)
    return base64.b64encode(bytes(octets)).decode("ascii")


def _number(octets: bytearray, value: int) -> None:
    while value > 127:
        octets.append(value & 127 | 128)
        value >>= 7
    octets.append(value)


def letters(solved: SolvedDesign) -> dict[str, str]:
    """A letter for each source, in canonical order:

    A, B, C; a source past the last letter gets a number.
    """
    return {s: LETTERS[i] if i < len(LETTERS) else str(i + 1) for i, s in enumerate(solved.items.sources)}


def page_data(solved: SolvedDesign) -> dict[str, Any]:
    """Everything that the page needs to show a state or a failure."""
    items, network, sheet = solved.items, solved.network, solved.sheet
    place = {node: i for i, node in enumerate(items.nodes)}
    directed = {link: i for i, (link, _, _) in enumerate(items.directed)}
    every = (*network.elements, *network.groups)
    elements = {element: i for i, element in enumerate(every)}
    rows: dict[str, int] = {}
    words: dict[str, int] = {}
    states = list(_states(solved, elements, rows, words))
    return {
        "sources": [[elements[s], letter] for s, letter in letters(solved).items()],
        "nodes": len(items.nodes),
        "powered": [elements[e] for e in items.powered],
        "magnetos": [elements[m.element] for m in network.magnetos],
        "channels": [elements[holder(e)] for e in items.channels],
        "coils": [elements[e] for e in items.coils],
        "directed": len(items.directed),
        "protectors": [elements[network.links[i].element] for i in items.protectors],
        "elements": [shown(bare(e)) for e in elements],
        "parts": sum(e.startswith("parts/") for e in elements),
        "wires": sum(e.startswith("wires/") for e in elements),
        "buses": [
            [elements[f"parts/{n}"], place[network.index[n]]]
            for n, part in solved.design.parts.items()
            if part.kind == "bus" and n in network.index
        ],
        "symbols": [_symbol(solved, symbol, elements, place) for symbol in sheet.symbols],
        "runs": [
            [elements[r.element], place[r.nodes[0]], place[r.nodes[1]], directed.get(r.link, -1)]
            for r in sheet.runs
        ],
        "functions": {
            shown(n): [f.any, [shown(c) for c in f.of], f.loss] for n, f in solved.design.functions.items()
        },
        "takers": {shown(n): list(map(shown, takers)) for n, takers in solved.design.takers.items()},
        "bundles": {shown(bare(g)): [elements[w] for w in wires] for g, wires in network.groups.items()},
        "groups": [_shown_cause(solved.design, cause) for cause in solved.review.causes if cause.standing],
        "states": states,
        "rows": list(rows),
        "words": list(words),
    }


def _shown_cause(design: Design, cause: Cause) -> dict[str, Any]:
    """Where the page shows a cause: state, failure, its elements, its path and the loads lost, by name."""
    head = cause.headline
    own = dict.fromkeys(map(shown, _drawn(design, head)))
    subjects = own | dict.fromkeys(shown(name) for f in cause.in_order for name in _drawn(design, f))
    path = dict.fromkeys(shown(step.part) for f in cause.in_order for step in f.path)
    return {
        "state": shown(head.state),
        "failure": shown(head.failure),
        "subjects": list(subjects),
        "own": len(own),
        "path": list(path),
        "lost": [shown(name) for name in head.evidence.lost if name in design.parts],
        "article": "finding-" + head.identity[:12],
    }


def _drawn(design: Design, finding: Finding) -> list[str]:
    """The names of what is drawn of a finding.

    Where its subject is not drawn, as a monitor or a check, these are what the monitor senses, else the
    elements that the finding names.
    """
    group, _, name = finding.subject.partition("/")
    if group in _DRAWN:
        return [name]
    monitor = design.watch.monitors.get(name.removeprefix("monitors/"))
    senses = [monitor.senses.partition(".")[0]] if monitor else []
    return [*senses, *map(bare, finding.evidence.elements)]


def _states(
    solved: SolvedDesign, elements: Mapping[str, int], rows: dict[str, int], words: dict[str, int]
) -> Iterator[dict[str, Any]]:
    """Each state with its failures; a new row of bits is added to ``rows``, by its text, and the
    words of a failure to ``words``."""

    known: dict[int, int] = {}

    def row(bits: Sequence[int]) -> int:
        if id(bits) not in known:  # failures that change the same have one tuple
            known[id(bits)] = rows.setdefault(packed(bits), len(rows))
        return known[id(bits)]

    for view, state in zip(solved.views, solved.answers.states, strict=True):
        known.clear()
        healthy = row(view.healthy)
        failures = [
            _failure(
                elements[failure.element],
                words.setdefault(shown(failure.words(solved.network)), len(words)),
                row(bits),
                failure,
                contacts_closed(solved.network, failure),
            )
            for failure, bits in zip(view.failures, view.changes, strict=True)
        ]
        yield {
            "name": shown(state.name),
            "use": state.use,
            "engine": state.engine if solved.design.has_engine else "",
            "healthy": healthy,
            "failures": failures,
            "switches": {shown(s): shown(at) for s, at in state.switches.items()},
            "pulled": list(map(shown, state.pulled)),
        }


def _failure(element: int, words: int, row: int, failure: Failure, closed: bool | None) -> list[Any]:
    """Element, words and row, by number.

    Then the position at which a switch stays, or whether the contacts of a relay are closed.
    """
    if closed is not None:
        return [element, words, row, closed]
    return [element, words, row, shown(failure.position)] if failure.position else [element, words, row]


def _symbol(
    solved: SolvedDesign, symbol: DrawnSymbol, elements: Mapping[str, int], place: Mapping[int, int]
) -> list[Any]:
    """Number, element, kind, gate, nodes; of a switch the positions that close each lever."""
    positions = [[shown(at) for at in closed] for closed in symbol.positions]
    if symbol.gate == "switch" and len(symbol.nodes) > 1:
        positions = _by_throw(solved, symbol, positions)
    nodes = [place[n] for n in symbol.nodes]
    return [symbol.number, elements[symbol.element], symbol.kind, symbol.gate, nodes, positions]


def _by_throw(solved: SolvedDesign, symbol: DrawnSymbol, positions: list[list[str]]) -> list[list[str]]:
    """The positions in which the lever to each throw is drawn closed.

    They are those that join the throw to the first terminal.
    """
    links = [solved.network.links[i] for i in symbol.links]
    found = []
    for throw in symbol.nodes[1:]:
        direct = [
            at
            for link, closed in zip(links, positions, strict=False)
            if throw in (link.a, link.b) and symbol.nodes[0] in (link.a, link.b)
            for at in closed
        ]
        found.append(list(dict.fromkeys(direct)))
    return found
