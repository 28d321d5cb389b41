"""The solved states and failures as compact data for the page.

A row of bits is written as runs: how many bits are skipped, how many are set, again and again, each number in groups of seven bits, lowest first, with
the eighth bit set where another group follows. Rows that are alike are written once. ``script/bits.js`` reads them.
"""

from __future__ import annotations

import base64
from collections.abc import Sequence
from typing import Any

from reviewer.network.graph import bare
from reviewer.reports.handoff.solved import Solved
from reviewer.reports.wording import shown

LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


def packed(bits: Sequence[int]) -> str:
    """Numbers of bits, in ascending order, as base64 text."""
    octets = bytearray()
    at = i = 0
    while i < len(bits):
        first = last = i
        while last + 1 < len(bits) and bits[last + 1] == bits[last] + 1:
            last += 1
        _number(octets, bits[first] - at)
        _number(octets, last - first + 1)
        at, i = bits[last] + 1, last + 1
    return base64.b64encode(bytes(octets)).decode("ascii")


def _number(octets: bytearray, value: int) -> None:
    while value > 127:
        octets.append(value & 127 | 128)
        value >>= 7
    octets.append(value)


def letters(solved: Solved) -> dict[str, str]:
    """A letter for each source, in the order of the file: A, B, C; a source past the last letter gets a number."""
    return {s: LETTERS[i] if i < len(LETTERS) else str(i + 1) for i, s in enumerate(solved.items.sources)}


def page_data(solved: Solved) -> dict[str, Any]:
    """Everything that the page needs to show a state or a failure."""
    items, network = solved.items, solved.facts.network
    place = {node: i for i, node in enumerate(items.nodes)}
    ways = {way[0]: i for i, way in enumerate(items.ways)}
    elements = {
        element: i
        for i, element in enumerate((*network.elements, *(f"bundles/{b}" for b in network.bundles)))
    }
    rows: dict[str, int] = {}

    def row(bits: Sequence[int]) -> int:
        return rows.setdefault(packed(bits), len(rows))

    states = []
    for scene in solved.scenes:
        state = solved.facts.states.declared[scene.state]
        failures = []
        for failure, bits in zip(scene.failures, scene.changes, strict=True):
            words = shown(failure.words(network))
            failures.append(
                [elements[failure.element], words, row(bits), shown(failure.position)]
                if failure.position
                else [elements[failure.element], words, row(bits)]
            )
        states.append(
            {
                "name": shown(state.name), "use": state.use, "engine": state.engine, "healthy": row(scene.healthy), "failures": failures,
                "switches": {shown(s): shown(at) for s, at in state.switches.items()}, "pulled": list(map(shown, state.pulled)),
            }
        )  # fmt: skip
    sheet = solved.sheet
    return {
        "sources": [[elements[s], letter] for s, letter in letters(solved).items()],
        "nodes": len(items.nodes),
        "powered": [elements[e] for e in items.powered],
        "coils": [elements[e] for e in items.coils],
        "ways": len(items.ways),
        "protectors": [elements[network.links[i].element] for i in items.protectors],
        "elements": [shown(bare(e)) for e in elements],
        "parts": sum(e.startswith("parts/") for e in elements),
        "wires": sum(e.startswith("wires/") for e in elements),
        "buses": [
            [elements[f"parts/{n}"], place[network.index[n]]]
            for n, part in solved.design.parts.items()
            if part.kind == "bus" and n in network.index
        ],
        "symbols": [_symbol(solved, f, elements, place) for f in sheet.symbols],
        "runs": [
            [elements[r.element], place[r.nodes[0]], place[r.nodes[1]], ways.get(r.link, -1)]
            for r in sheet.runs
        ],
        "functions": {
            shown(n): [f.any, [shown(c) for c in f.of], f.loss] for n, f in solved.design.functions.items()
        },
        "bundles": {shown(b): [elements[w] for w in wires] for b, wires in network.bundles.items()},
        "states": states,
        "rows": list(rows),
    }


def _symbol(solved: Solved, symbol: Any, elements: dict[str, int], place: dict[int, int]) -> list[Any]:
    """Number, element, kind, gate, nodes, and for a switch the positions in which each of its levers is closed."""
    kind = symbol.kind
    positions = [[shown(at) for at in closed] for closed in symbol.positions]
    if symbol.gate == "switch" and len(symbol.nodes) > 1:
        positions = _by_throw(solved, symbol, positions)
    return [
        symbol.number,
        elements[symbol.element],
        kind,
        symbol.gate,
        [place[n] for n in symbol.nodes],
        positions,
    ]


def _by_throw(solved: Solved, symbol: Any, positions: list[list[str]]) -> list[list[str]]:
    """The positions in which the lever to each throw is drawn: those that join the throw to the first terminal, or to any other."""
    links = [solved.facts.network.links[i] for i in symbol.links]
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
