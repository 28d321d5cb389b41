"""Sense leads against what the monitors are declared to sense.

A monitor's lead is where the file says if conductors and circuit protection join its point to an
input of its instrument. A unit in another place may take it and send it on, and an instrument may
show its own supply.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import groupby

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.meters import Meter
from reviewer.network.search import conductors_and_protectors, reachable_by, shortest

_IN_LINE = (p.Connector, p.Splice, p.Stud, p.Protector)
#: what an input at one of them does not show a voltage of
_NO_POINT = (p.Consumer, p.GroundBlock, p.Airframe)


@record
class StrayLead:
    """An input of a monitor's instrument that leads to another point than any monitor senses.

    ``inputs`` (terminals) are all that lead to that point, the terminal ``at``; ``path`` has their
    leads.
    """

    inputs: tuple[str, ...]
    at: str
    path: tuple[str, ...]


@record
class SenseLead:
    """Whether the lead of a monitor is drawn from the point that it senses; if not, an input of its
    instrument that is elsewhere."""

    connected: bool
    stray: StrayLead | None = None


def sense_lead(design: Design, network: Network, meters: Mapping[str, Meter], name: str) -> SenseLead:
    """The lead of a monitor of an instrument.

    An input of another unit, which may send the reading on, is as good. So is the supply of the
    instrument, unless it has several and a stray input.
    """
    meter = meters[name]
    instrument = bare(meter.instrument)
    inputs = {
        network.node(f"{n}.{i.signal}")
        for n in design.of_kind(p.Instrument)
        for i in design.parts[n].inputs.values()
    }
    joined = [_lead_from(design, network, node) for node in meter.sensed]
    if meter.drawn or all(inputs & nodes for nodes in joined):
        return SenseLead(True)
    supplies = [network.node(f"{instrument}.{t}") for t in design.parts[instrument].supplies]
    own_supply = all(nodes.intersection(supplies) for nodes in joined)
    stray = None if own_supply and len(supplies) == 1 else _stray_lead(design, network, meters, name)
    return SenseLead(own_supply and stray is None, stray)


def _lead_from(design: Design, network: Network, sensed: int) -> set[int]:
    """What is joined to a point by leads that pass no other bus, source or unit."""
    own = network.names[sensed].partition(".")[0]

    def onward(node: int) -> Iterator[int]:
        name = network.names[node].partition(".")[0]
        if name == own or isinstance(design.parts[name], (*_IN_LINE, p.Switch)):
            for i, other, leaving in network.around[node]:
                link = network.links[i]
                if conductors_and_protectors(link, leaving) or link.gate is Gate.SWITCH:
                    yield other

    return reachable_by([sensed], onward)


def _stray_lead(design: Design, network: Network, meters: Mapping[str, Meter], name: str) -> StrayLead | None:
    """The first point that an input of a monitor's instrument is at and no monitor shown there
    reads by it."""
    instrument = meters[name].instrument
    read = {end for m in meters.values() if m.instrument == instrument and m.drawn for end in m.ends}
    leads = {}
    for signal in design.parts[bare(instrument)].inputs.values():
        terminal = f"{bare(instrument)}.{signal.signal}"
        found = _point(design, network, network.node(terminal))
        if found is not None:
            leads[terminal] = found
    point = next((at for terminal, (at, _) in leads.items() if network.node(terminal) not in read), None)
    if point is None:
        return None
    there = {terminal: path for terminal, (at, path) in leads.items() if at == point}
    path = dict.fromkeys(e for lead in there.values() for e in lead)
    return StrayLead(tuple(there), network.names[point], tuple(path))


def _point(design: Design, network: Network, start: int) -> tuple[int, tuple[str, ...]] | None:
    """The nearest node to which an input leads that is not in line, with the path; None where it
    leads to a sensor, another unit or a ground."""

    def part(node: int) -> p.Part:
        return design.parts[network.names[node].partition(".")[0]]

    def onward(node: int) -> Iterator[tuple[int, str]]:
        if node == start or isinstance(part(node), _IN_LINE):
            for i, other, leaving in network.around[node]:
                if conductors_and_protectors(network.links[i], leaving):
                    yield other, network.links[i].element

    goals = {n for n in range(len(network.names)) if n != start and not isinstance(part(n), _IN_LINE)}
    found = shortest(start, goals, onward)
    if found is None or isinstance(part(found[0]), (*_NO_POINT, p.Sensor)):
        return None
    return found[0], tuple(e for e, _ in groupby(found[1]))
