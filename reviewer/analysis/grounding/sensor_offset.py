"""Offsets: by how many volts the ground of a sensor and that of its instrument differ, so that the instrument reads what is not there."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from reviewer.analysis.grounding.ground_shift import ReturnSide, typical_values, ways_back
from reviewer.analysis.grounding.shared_returns import necessary
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.tables.practice import practice

#: shares of a sensor's span that its ground may be off: with a return that it shares, and with a ground of its own elsewhere. Common practice, no source
MOST_SHARED = practice("factors", "sensor-offset-shared-return").high
MOST_APART = practice("factors", "sensor-offset-own-ground").high
#: volts below which an offset is nothing, whatever the span; our own
NOTHING_V = 0.001
#: ohms that an ideal joint has where shares of a current are solved; our own
JOINT_OHMS = 1e-7


@dataclass(frozen=True)
class Pair:
    """A sensor and an instrument that reads it, with the terminals against which each of them stands."""

    sensor: str
    instrument: str
    own: str
    reference: str
    #: whether the sensor's return is known to carry nothing but its own current
    two_wire: bool


def pairs(design: Design, network: Network) -> tuple[Pair, ...]:
    """Every sensor of a measured quantity with every instrument that reads it; an input that reads a contact cannot be off by millivolts."""
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


@dataclass(frozen=True)
class Offset:
    """The grounds of a pair differ by ``volts`` in a state, with alternators at their limit; ``missing`` elements -> the key that the file lacks."""

    pair: Pair
    state: str
    volts: float
    missing: Mapping[str, str]
    #: the typical values that it rests on, as numbers of a finding
    assumed: tuple[tuple[str, str], ...]


def lacking(network: Network, side: ReturnSide, pair: Pair) -> dict[str, str]:
    """Elements without a size on the way of least resistance between the two grounds of a pair -> the key that is missing."""
    ways = ways_back(side, network, [network.node(pair.reference)])
    missing, at = {}, network.node(pair.own)
    while at in ways and ways[at].link >= 0:
        element = network.links[ways[at].link].element
        if element in side.unsized:
            missing[element] = side.unsized[element]
        at = ways[at].onward
    return missing


def offset(
    design: Design,
    network: Network,
    side: ReturnSide,
    pair: Pair,
    point: OperatingPoint,
    drops: Mapping[str, Mapping[int, float]],
) -> Offset | None:
    """The offset of a pair at an operating point, every alternator that runs raised to its limit: what it gives more charges the main battery.

    ``drops`` are those of :func:`drops_of`. None where one of the two grounds is joined to no live source.
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
    """Name of each alternator -> :func:`drops` of its current that charges the first main battery."""
    mains = [
        network.node(f"{n}.negative") for n in design.of_kind(p.Battery) if design.parts[n].purpose == "main"
    ]
    return (
        {n: drops(network, side, mains[0], network.node(f"{n}.ground")) for n in design.of_kind(p.Alternator)}
        if mains
        else {}
    )


def drops(network: Network, side: ReturnSide, start: int, goal: int) -> dict[int, float]:
    """Volts of each node of the return side over ``start``, for each ampere that flows from there to ``goal``, in ohms; {} where they are not joined.

    What hangs on one conductor carries nothing and has the volts of what it hangs on; the rest is solved.
    """
    around = _conductors(network, side, start)
    if goal not in around or goal == start:
        return {}
    hangs: dict[int, int] = {}
    todo = [n for n, steps in around.items() if len(steps) == 1]
    while todo:
        node = todo.pop()
        if node not in (start, goal) and len(around[node]) == 1:
            (i, other), *_ = around.pop(node).items()
            hangs[node] = other
            del around[other][i]
            todo.append(other)
    volts = _solved(side, around, start, goal)
    for node, other in reversed(hangs.items()):
        volts[node] = volts[other]
    return volts


def _conductors(network: Network, side: ReturnSide, start: int) -> dict[int, dict[int, int]]:
    """For each node that is joined to ``start``: link -> the node at its other end."""
    found: dict[int, dict[int, int]] = {}
    todo = [start]
    while todo:
        node = todo.pop()
        if node not in found:
            found[node] = {
                i: other for i, other, _ in network.around[node] if i in side.ohms and other != node
            }
            todo.extend(found[node].values())
    return found


def _solved(
    side: ReturnSide, around: Mapping[int, Mapping[int, int]], start: int, goal: int
) -> dict[int, float]:
    import numpy as np

    at = {node: i for i, node in enumerate((start, *(n for n in around if n != start)))}
    laplacian = np.zeros((len(at), len(at)))
    for node, steps in around.items():
        for i, other in steps.items():
            siemens = 1.0 / max(side.ohms[i], JOINT_OHMS)
            laplacian[at[node], at[node]] += siemens
            laplacian[at[node], at[other]] -= siemens
    taken = np.zeros(len(at))
    taken[at[goal]] = -1.0
    volts = (0.0, *np.linalg.solve(laplacian[1:, 1:], taken[1:]))
    return {node: float(volts[i]) for node, i in at.items()}


def worst(found: Iterable[Offset | None]) -> Offset | None:
    """The largest of some offsets."""
    return max((o for o in found if o is not None), key=lambda o: o.volts, default=None)
