"""Sensor offsets: the difference between the grounds of a sensor and its instrument.

The instrument reads it as if it were measured.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from reviewer.analysis.grounding.ground_shift import ReturnSide, return_paths, typical_values
from reviewer.analysis.grounding.shared_returns import necessary
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.solver.two_point_resistance import volts_per_ampere
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network
from reviewer.tables.practice import practice

#: shares of a sensor's span that its ground may be off: with a return that it shares, and with a
#: ground of its own elsewhere. Common practice (no published source)
MOST_SHARED = practice("factors", "sensor-offset-shared-return").high
MOST_APART = practice("factors", "sensor-offset-own-ground").high
#: volts below which an offset is nothing, whatever the span; our own
NOTHING_V = 0.001


@record
class Pair:
    """A sensor and an instrument that reads it.

    ``own`` and ``reference`` are the terminals against which each of them stands.
    """

    sensor: str
    instrument: str
    own: str
    reference: str
    #: whether the sensor's return is known to carry nothing but its own current
    two_wire: bool


def pairs(design: Design, network: Network) -> tuple[Pair, ...]:
    """Every sensor of a measured quantity with every instrument that reads it.

    An input that reads a contact cannot be off by millivolts.
    """
    negatives = {s.negative for s in network.sources}
    found = []
    for sensor in design.of_kind(p.Sensor):
        if design.parts[sensor].carries != "measurement":
            continue
        own = f"{sensor}.return"
        reached = circuit(
            design, network, [network.node(f"{sensor}.signal")], (p.Connector, p.Splice, p.Protector)
        ).nodes
        back = circuit(design, network, [network.node(own)], (p.Connector, p.Splice)).nodes
        for name in design.of_kind(p.Instrument):
            part = design.parts[name]
            for entry in part.inputs.values():
                if network.node(f"{name}.{entry.signal}") in reached and entry.reads in (None, "voltage"):
                    wired = entry.return_ is not None and network.node(f"{name}.{entry.return_}") in back
                    through = necessary(network, [network.node(own)], negatives)
                    two_wire = wired and (f"parts/{name}" in through or not through)
                    found.append(
                        Pair(
                            sensor,
                            name,
                            own,
                            f"{name}.{entry.return_ if wired else part.returns[0]}",
                            two_wire,
                        )
                    )
    return tuple(found)


@record
class Offset:
    """The grounds of a pair differ by ``volts`` in a state, with alternators at their limit.

    ``missing`` is element -> the key that the file lacks.
    """

    pair: Pair
    state: str
    volts: float
    missing: Mapping[str, str]
    #: the typical values that it rests on, as numbers of a finding
    assumed: tuple[tuple[str, str], ...]


def lacking(network: Network, side: ReturnSide, pair: Pair) -> dict[str, str]:
    """Elements without a size on the path between the grounds of a pair -> the missing key.

    The path is that of least resistance.
    """
    paths, own = return_paths(side, network, [network.node(pair.reference)]), network.node(pair.own)
    links = paths.steps(own)[::-1] if own in paths else []
    passed = (network.links[link].element for link in links)
    return {element: side.unsized[element] for element in passed if element in side.unsized}


def offset(
    design: Design,
    network: Network,
    side: ReturnSide,
    pair: Pair,
    point: OperatingPoint,
    drops: Mapping[str, Mapping[int, float]],
) -> Offset | None:
    """The offset of a pair at an operating point, running alternators raised to their limit.

    What they give more charges the main battery. ``drops`` are those of :func:`drops_of`. None
    where one of the two grounds is joined to no live source.
    """
    if pair.own not in point.volts or pair.reference not in point.volts:
        return None
    volts, more = point.volts[pair.own] - point.volts[pair.reference], 0.0
    for name, drop in drops.items():
        part, given = design.parts[name], point.given[f"parts/{name}"]
        limit = part.most or 0.0
        if 0 < given < limit:
            more += (limit - given) * (
                drop.get(network.node(pair.own), 0.0) - drop.get(network.node(pair.reference), 0.0)
            )
    return Offset(
        pair,
        point.state,
        max(abs(volts), abs(volts + more)),
        dict(point.undrawn),
        typical_values(network, side, point),
    )


def drops_of(design: Design, network: Network, side: ReturnSide) -> dict[str, dict[int, float]]:
    """Alternator -> :func:`drops` of its current that charges the first main battery."""
    mains = [n for n in design.of_kind(p.Battery) if design.parts[n].purpose == "main"]
    if not mains:
        return {}
    start = network.node(f"{mains[0]}.negative")
    return {n: drops(network, side, start, network.node(f"{n}.ground")) for n in design.of_kind(p.Alternator)}


def drops(network: Network, side: ReturnSide, start: int, goal: int) -> dict[int, float]:
    """Volts of each node of the return side over ``start``, per ampere from there to ``goal``.

    {} where the two are not joined.
    """
    conductors = ((network.links[i].a, network.links[i].b, ohms) for i, ohms in side.ohms.items())
    return volts_per_ampere(conductors, start, goal)


def worst(found: Iterable[Offset | None]) -> Offset | None:
    """The largest of some offsets."""
    return max((o for o in found if o is not None), key=lambda o: o.volts, default=None)
