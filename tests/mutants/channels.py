"""Mutants of redundant channels, switches and diodes: joined, bypassed, moved to one source,
turned round.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from tests.mutants.mutant import Mutant, of_kind, taken_out, wires_at
from tests.rule_cases import Data


def joined(design: str, data: Data) -> Iterator[Mutant]:
    """A wire between the supplies of each two channels of a function."""
    for one, other in _pairs(data):
        ends = [f"{n}.{data['parts'][n].get('supplies', ['supply'])[0]}" for n in (one, other)]
        wire = _like(data, one) | {"from": ends[0], "to": ends[1]}
        edits = {"wires/joint": wire}
        yield Mutant(design, "channels-joined", f"{one}+{other}", edits, (one, other, "joint"))


def one_source(design: str, data: Data) -> Iterator[Mutant]:
    """Each wire from the positive of a battery moved to the positive of another."""
    batteries = list(of_kind(data, "battery"))
    for battery in batteries:
        for other in batteries:
            for wire in wires_at(data, battery, "positive") if other != battery else ():
                key = "from" if data["wires"][wire]["from"] == f"{battery}.positive" else "to"
                edits = {f"wires/{wire}/{key}": f"{other}.positive"}
                yield Mutant(design, "feed-moved", f"{wire}-to-{other}", edits, (wire, battery, other))


def one_bundle(design: str, data: Data) -> Iterator[Mutant]:
    """The wires of one channel of each pair put into the bundle of the other."""
    for one, other in _pairs(data):
        bundles = [data["wires"][wires_at(data, n)[0]].get("bundle") for n in (one, other)]
        if None in bundles or bundles[0] == bundles[1]:
            continue
        moved = [n for n in wires_at(data, other) if data["wires"][n].get("bundle") == bundles[1]]
        edits = {f"wires/{n}/bundle": bundles[0] for n in moved}
        yield Mutant(design, "one-bundle", f"{one}+{other}", edits, (one, other, bundles[0], *moved))


def bypassed(design: str, data: Data) -> Iterator[Mutant]:
    """A wire across the contacts of each switch of two positions."""
    for name, part in of_kind(data, "switch").items():
        pairs = [p for position in part["positions"].values() for p in position]
        if len(part["positions"]) == 2 and len(pairs) == 1:
            ends = {"from": f"{name}.{pairs[0][0]}", "to": f"{name}.{pairs[0][1]}"}
            wire = _like(data, name) | ends
            yield Mutant(design, "switch-bypassed", name, {"wires/across": wire}, (name, "across"))


def unguarded(design: str, data: Data) -> Iterator[Mutant]:
    """The guard of each switch taken off; a switch of which nothing is said gets none too."""
    for name in of_kind(data, "switch"):
        yield Mutant(design, "guard-removed", name, {f"parts/{name}/guard": "none"})


def diode_reversed(design: str, data: Data) -> Iterator[Mutant]:
    """The wires of each diode on each other's terminal."""
    for name in of_kind(data, "diode"):
        edits = {}
        for terminal, other in (("anode", "cathode"), ("cathode", "anode")):
            for wire in wires_at(data, name, terminal):
                key = "from" if data["wires"][wire]["from"] == f"{name}.{terminal}" else "to"
                edits[f"wires/{wire}/{key}"] = f"{name}.{other}"
        yield Mutant(design, "diode-reversed", name, edits, _guarded(data, name))


def diode_shorted(design: str, data: Data) -> Iterator[Mutant]:
    """Each diode replaced by a splice."""
    for name, part in of_kind(data, "diode").items():
        splice = {"kind": "splice"} | ({"zone": part["zone"]} if "zone" in part else {})
        yield Mutant(design, "diode-shorted", name, {f"parts/{name}": splice}, _guarded(data, name))


def diode_removed(design: str, data: Data) -> Iterator[Mutant]:
    """Each diode taken out with its wires."""
    for name in of_kind(data, "diode"):
        edits = taken_out(data, [name, *wires_at(data, name)])
        yield Mutant(design, "diode-removed", name, edits, _guarded(data, name))


def _pairs(data: Data) -> Iterator[tuple[str, str]]:
    for function in data.get("functions", {}).values():
        yield from combinations([n for n in function["of"] if n in data["parts"]], 2)


def _like(data: Data, part: str) -> Data:
    """A short wire like the first one at a part."""
    wire = data["wires"][wires_at(data, part)[0]]
    kept = {k: wire[k] for k in ("gauge", "insulation") if k in wire}
    return kept | ({"length": "0.3 m"} if "length" in wire else {})


def _guarded(data: Data, diode: str) -> tuple[str, ...]:
    protects = data["parts"][diode].get("protects")
    return (diode, protects) if protects else (diode, *_neighbours(data, diode))


def _neighbours(data: Data, part: str) -> list[str]:
    ends = [e for w in wires_at(data, part) for e in (data["wires"][w]["from"], data["wires"][w]["to"])]
    return [e.partition(".")[0] for e in ends if e.partition(".")[0] != part]
