"""Mutants of wires and grounds: thinner, thicker, longer, cut, moved."""

from __future__ import annotations

from collections.abc import Iterator

from tests.mutants.mutant import Mutant, of_kind, taken_out, wires_at
from tests.rule_cases import Data

#: wire sizes from thick to thin
GAUGES = (2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24)


def thinned(design: str, data: Data) -> Iterator[Mutant]:
    """Every second wire two sizes thinner."""
    for name, gauge in list(_sized(data))[::2]:
        if (at := GAUGES.index(gauge) + 2) < len(GAUGES):
            yield Mutant(design, "wire-thinned", name, {f"wires/{name}/gauge": f"{GAUGES[at]} AWG"})


def thickened(design: str, data: Data) -> Iterator[Mutant]:
    """Every eighth wire two sizes thicker."""
    for name, gauge in list(_sized(data))[::8]:
        if (at := GAUGES.index(gauge) - 2) >= 0:
            yield Mutant(design, "wire-thickened", name, {f"wires/{name}/gauge": f"{GAUGES[at]} AWG"})


def lengthened(design: str, data: Data) -> Iterator[Mutant]:
    """Every fourth wire six times as long."""
    for name, wire in list(data["wires"].items())[::4]:
        if "length" in wire:
            metres = float(wire["length"].removesuffix(" m")) * 6
            yield Mutant(design, "wire-lengthened", name, {f"wires/{name}/length": f"{metres:.4g} m"})


def shortened(design: str, data: Data) -> Iterator[Mutant]:
    """Every tenth wire half as long."""
    for name, wire in list(data["wires"].items())[::10]:
        if "length" in wire:
            metres = float(wire["length"].removesuffix(" m")) / 2
            yield Mutant(design, "wire-shortened", name, {f"wires/{name}/length": f"{metres:.4g} m"})


def ground_lead_cut(design: str, data: Data) -> Iterator[Mutant]:
    """Each wire between grounds, or from a ground to a source, taken out; a source's two ground
    wires also together.
    """
    grounds = of_kind(data, "ground-block", "airframe", "stud")
    sources = of_kind(data, "battery", "alternator", "external-power")
    for name, wire in data["wires"].items():
        ends = {wire["from"].partition(".")[0], wire["to"].partition(".")[0]}
        if ends <= {*grounds, *sources} and not ends.isdisjoint(grounds):
            own = [e for e in sorted(ends) if e in sources]
            yield Mutant(design, "ground-lead-cut", name, taken_out(data, [name]), (name, *own))
    for source in sources:
        leads = [*wires_at(data, source, "negative"), *wires_at(data, source, "ground")]
        if len(leads) > 1:
            place = "+".join(leads)
            yield Mutant(design, "ground-lead-cut", place, taken_out(data, leads), (*leads, source))
    straps = [n for n in data["wires"] if _is_strap(data, n)]
    if len(straps) > 1:
        yield Mutant(design, "ground-lead-cut", "+".join(straps), taken_out(data, straps), tuple(straps))


def return_cut(design: str, data: Data) -> Iterator[Mutant]:
    """Each wire at the return of a load or instrument taken out."""
    for name, wire in _returns(data):
        yield Mutant(design, "return-cut", wire, taken_out(data, [wire]), (wire, name))


def return_moved(design: str, data: Data) -> Iterator[Mutant]:
    """Each return of a load moved to one other ground block, each second one to two."""
    blocks = list(of_kind(data, "ground-block"))
    for number, (name, wire) in enumerate(_returns(data)):
        end = data["wires"][wire]["to"]
        turned = blocks[number % len(blocks) :] + blocks[: number % len(blocks)]
        others = [b for b in turned if b != end.partition(".")[0]]
        for block in others[: 1 + number % 2]:
            if end.partition(".")[0] in blocks:
                edits = {f"wires/{wire}/to": f"{block}.moved"}
                yield Mutant(design, "return-moved", f"{wire}-to-{block}", edits, (wire, name, block))


def charging_cut(design: str, data: Data) -> Iterator[Mutant]:
    """Each wire of the line that charges a reserve taken out, and the whole line with its devices."""
    for diode, part in of_kind(data, "diode").items():
        if data["parts"].get(part.get("protects", ""), {}).get("kind") != "battery":
            continue
        line, parts = set(wires_at(data, diode)), {diode}
        for wire in tuple(line):
            for end in (data["wires"][wire]["from"], data["wires"][wire]["to"]):
                if data["parts"][end.partition(".")[0]]["kind"] in ("breaker", "fuse"):
                    parts.add(end.partition(".")[0])
        line |= {w for device in parts for w in wires_at(data, device)}
        for wire in sorted(line):
            yield Mutant(design, "charging-line-cut", wire, taken_out(data, [wire]), (wire, part["protects"]))
        gone = [*sorted(parts), *sorted(line)]
        names = (*gone, part["protects"])
        yield Mutant(design, "charging-line-cut", "all", taken_out(data, gone), names)


def sense_lead_cut(design: str, data: Data) -> Iterator[Mutant]:
    """The last wire to each signal input that a monitor needs taken out, and each return of a
    sensor.
    """
    for name, part in of_kind(data, "instrument").items():
        for signal in part.get("inputs", {}).values():
            for wire in wires_at(data, name, signal["signal"]):
                yield Mutant(design, "sense-lead-cut", wire, taken_out(data, [wire]), (wire, name))


def _sized(data: Data) -> Iterator[tuple[str, int]]:
    for name, wire in data["wires"].items():
        if "gauge" in wire:
            yield name, int(wire["gauge"].removesuffix(" AWG"))


def _returns(data: Data) -> Iterator[tuple[str, str]]:
    for name, part in of_kind(data, "load", "instrument").items():
        for terminal in part.get("returns", ["return"]):
            for wire in wires_at(data, name, terminal):
                yield name, wire


def _is_strap(data: Data, wire: str) -> bool:
    """Whether a wire joins the metal of the engine to another ground."""
    ends = [data["wires"][wire][k].partition(".")[0] for k in ("from", "to")]
    kinds = [data["parts"][e]["kind"] for e in ends]
    grounds = all(k in ("airframe", "ground-block") for k in kinds)
    return grounds and any(data["parts"][e].get("material") == "metal" for e in ends)
