"""What the remaining leads carry when one of several parallel ground leads opens."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.grounding.ground_shift import NEAR
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.wiring.circuits import signal_wires
from reviewer.analysis.wiring.wire_loading import Allowed, WireLoads
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.biconnected import blocks
from reviewer.network.graph import Network, bare
from reviewer.network.search import conductors
from reviewer.tables.lookup import OutsideTable, deciding_row

#: the operating point of what is flown with some failures
FailedPoint = Callable[[Flown, tuple[Failure, ...]], OperatingPoint]


@record
class Overload:
    """When ``lead`` opens, ``wire`` carries ``amps`` as flown; it may carry what ``allowed`` says.

    ``missing`` names what the file lacks to say so, "" where nothing.
    """

    lead: str
    wire: str
    flown: Flown
    amps: float
    allowed: Allowed | None
    missing: str = ""


def parallel_wires(design: Design, network: Network) -> dict[str, tuple[str, ...]]:
    """Wire -> the other wires with which it lies on a ring of plain conductors, signal wires apart."""
    signals = signal_wires(design, network)
    around = tuple(
        tuple(step for step in steps if conductors(network.links[step[0]], step[2]))
        for steps in network.around
    )
    found: dict[str, tuple[str, ...]] = {}
    for block in blocks(replace(network, around=around)):
        wires = tuple(
            e
            for e in dict.fromkeys(network.links[i].element for i in block)
            if e.startswith("wires/") and e not in signals
        )
        found |= {e: tuple(other for other in wires if other != e) for e in wires if len(wires) > 1}
    return found


def overload(
    design: Design,
    lead: str,
    parallel: Sequence[str],
    points: Sequence[tuple[Flown, OperatingPoint]],
    failed: FailedPoint,
) -> Overload | None:
    """The wire of some parallel ones that exceeds most what it may carry when a lead opens.

    Not one that does with all leads whole. What a lead carries can at most be added to what another
    carries, as long as the loads take what they took: it is solved only where that comes near to
    what a wire may carry.
    """
    return max(
        _overloads(design, lead, parallel, points, failed),
        key=lambda o: o.amps / o.allowed.ampacity.amperes if o.allowed else 0.0,
        default=None,
    )


def _overloads(
    design: Design,
    lead: str,
    parallel: Sequence[str],
    points: Sequence[tuple[Flown, OperatingPoint]],
    failed: FailedPoint,
) -> Iterator[Overload]:
    for flown, healthy in points:
        usual = WireLoads(design, ((flown, healthy),))
        for wire in map(bare, parallel):
            most = abs(healthy.amps[f"wires/{wire}"]) + abs(healthy.amps[lead])
            if design.wires[wire].gauge is None or most <= NEAR * _surely(design, usual, wire, most):
                continue
            point = failed(flown, (Failure(lead, OPEN),))
            amps = abs(point.amps[f"wires/{wire}"])
            if not amps > _surely(design, usual, wire, amps):
                continue
            try:
                load, allowed = WireLoads(design, ((flown, point),)).worst(wire)
                healthy_load, _ = usual.worst(wire)
            except NotAssessable as missing:
                yield Overload(lead, wire, flown, amps, None, str(missing))
                continue
            limit = allowed.ampacity.amperes * (1 + 1e-9)
            if abs(load.amperes) > limit >= abs(healthy_load.amperes):
                needs = "" if allowed.ambient.known else f"`zone` of {wire}"
                yield Overload(lead, wire, flown, amps, allowed, needs)


def _surely(design: Design, loads: WireLoads, wire: str, amps: float) -> float:
    """What a wire may carry with all of its bundle in use.

    Where the file lacks what Table 11-9 asks, the largest breaker that Table 11-3 allows for it.
    """
    try:
        return loads.allowed(wire, 1.0).ampacity.amperes
    except NotAssessable:
        gauge = design.wires[wire].copper_gauge
        assert gauge is not None
        try:
            return deciding_row(gauge, "breaker", amps).amps
        except OutsideTable:
            return 0.0
