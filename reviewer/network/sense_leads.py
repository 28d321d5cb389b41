"""Sense leads against what the monitors are declared to sense, and what these read by them.

A monitor's lead is where the file says if conductors and circuit protection join its point to an
input of its instrument. Beyond a protector that feeds other things is another point. A unit in
another place may take the reading and send it on, and an instrument may show its own supply. A
monitor whose lead is elsewhere reads what is there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Set
from dataclasses import replace
from itertools import groupby
from types import MappingProxyType

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, Step, bare
from reviewer.network.meters import Meter, meters, sense_terminals, zero
from reviewer.network.search import conductors, conductors_and_protectors, reachable_by, shortest

_IN_LINE = (p.Connector, p.Splice, p.Stud, p.Protector)
#: what may be in line with a warning lamp
_IN_LAMP_LINE = (*_IN_LINE, p.Switch, p.Diode, p.Relay)
#: what an input at one of them does not show a voltage of
_GROUNDS = (p.GroundBlock, p.Airframe)
_NO_POINT = (p.Consumer, *_GROUNDS)

#: outside a switch: its positions do not matter
_ANY: frozenset[str] = frozenset()

#: whether a step may be passed
Passes = Callable[[Design, Network, Step], bool]


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


def wired_meters(design: Design, network: Network) -> Mapping[str, Meter]:
    """The monitors of a design, by name, each where its wires lead.

    A monitor whose lead is elsewhere reads the stray input of its instrument, if there is one only;
    of a shunt, the input at its one side and the stray one. A lamp shows what feeds it. Where no
    lead is drawn, or which of several stray inputs is its own is not in the file, what it reads is
    unknown, but in a concept. Otherwise it reads what it is declared to sense.
    """
    declared = meters(design, network)
    return MappingProxyType({name: _as_wired(design, network, declared, name) for name in declared})


def _as_wired(design: Design, network: Network, declared: Mapping[str, Meter], name: str) -> Meter:
    meter = declared[name]
    part = design.parts.get(bare(meter.instrument))
    if meter.lamp and (stray := _lamp_lead(design, network, meter).stray):
        return replace(meter, ends=tuple(network.node(t) for t in stray.inputs), stray=True)
    if meter.drawn or not isinstance(part, p.Instrument):
        return meter
    own = [n for n, m in declared.items() if m.instrument == meter.instrument and not m.drawn]
    leads = {n: sense_lead(design, network, declared, n) for n in own}
    stray = leads[name].stray
    told = leads[name].connected or meter.shunt or design.aircraft.stage == "concept"
    as_declared = meter if told else replace(meter, unknown=True)
    if stray is None or [n for n in own if leads[n].stray] != [name]:
        return as_declared
    ends = tuple(
        network.node(t)
        for t in _unread(design, network, declared, name) or stray.inputs[-len(meter.sensed) :]
    )
    if len(ends) != len(meter.sensed):
        return as_declared
    if meter.shunt:
        high, low = (_joined(design, network, node, _in_line) for node in meter.sensed)
        if not (high | low).intersection(ends):
            return meter  # both are elsewhere: which is high is not in the file
        if not (ends[0] in high or ends[1] in low):
            ends = ends[::-1]
    return replace(
        meter, ends=ends, stray=True, zero=zero(network, design.watch.monitors[name], ends[0], part)
    )


def sense_lead(design: Design, network: Network, meters: Mapping[str, Meter], name: str) -> SenseLead:
    """The lead of a monitor of an instrument, or the wires to a lamp.

    The supply of the instrument is as good, unless it has several and a stray input, or one, no wire at the
    terminal that is sensed, and a stray input at a source; of several supplies not one that a switch
    changes over to what is sensed: it shows that at the other throw. So is an input
    of another unit, which may send the reading on, where the instrument has no stray input and that
    unit shows no monitor: the inputs of a display are its own.
    """
    meter = meters[name]
    if meter.lamp:
        return _lamp_lead(design, network, meter)
    instrument = bare(meter.instrument)
    if meter.drawn or _joined_to(design, network, meter, _inputs(design, network, meter, [instrument])):
        return SenseLead(True)
    supplies = {network.node(f"{instrument}.{t}") for t in design.parts[instrument].supplies}
    barred = _change_overs(design) if len(supplies) > 1 else _ANY
    fed = [_joined(design, network, node, _through_protectors, barred=barred) for node in meter.sensed]
    own_supply = all(nodes & supplies for nodes in fed)
    if own_supply and len(supplies) == 1:
        at_source = _stray_at_source(design, network, meters, name)
        return SenseLead(at_source is None, at_source)
    shown_on = {bare(m.instrument) for m in meters.values()}
    senders = [unit for unit in design.of_kind(p.Instrument) if unit not in shown_on]
    sent = _joined_to(design, network, meter, _inputs(design, network, meter, senders))
    stray = _stray_lead(design, network, meters, name) or (
        None if sent or meter.shunt else _spare_lead(design, network, meters, name, not own_supply)
    )
    return SenseLead(stray is None and (own_supply or sent), stray)


def _stray_at_source(
    design: Design, network: Network, meters: Mapping[str, Meter], name: str
) -> StrayLead | None:
    """The stray input of a monitor's instrument that is at a battery or another source, where no wire ends at
    the terminal that is sensed: it is the lead that was to go there."""
    senses = design.watch.monitors[name].senses
    if meters[name].shunt or any(senses in (w.from_, w.to) for w in design.wires.values()):
        return None
    stray = _stray_lead(design, network, meters, name)
    sources = {network.names[s.positive] for s in network.sources}
    return stray if stray is not None and stray.at in sources else None


def _change_overs(design: Design) -> frozenset[str]:
    """The switches of which a contact joins a terminal to another one in another position."""
    found = set()
    for name in design.of_kind(p.Switch):
        throws: dict[str, set[str]] = {}
        positions = design.part(name, p.Switch).positions
        for one, other in (pair for pairs in positions.values() for pair in pairs):
            throws.setdefault(one, set()).add(other)
            throws.setdefault(other, set()).add(one)
        if any(len(others) > 1 for others in throws.values()):
            found.add(name)
    return frozenset(found)


def undrawn_leads(
    design: Design, network: Network, meters: Mapping[str, Meter]
) -> Mapping[str, tuple[str, ...]]:
    """The monitors of instruments that no lead connects to what they sense, with the inputs of that
    instrument (terminals) that are unconnected: none where all of them are, or in a concept."""
    found: dict[str, tuple[str, ...]] = {}
    for name, meter in meters.items():
        part = design.parts.get(bare(meter.instrument))
        if design.aircraft.stage == "concept" or not isinstance(part, p.Instrument):
            continue
        ends = [e for i in part.inputs.values() for e in (i.signal, i.return_) if e and e not in part.unused]
        loose = [f"{bare(meter.instrument)}.{e}" for e in ends]
        loose = [terminal for terminal in dict.fromkeys(loose) if not network.wired(terminal)]
        if loose:
            lead = sense_lead(design, network, meters, name)
            if not lead.connected and lead.stray is None:
                found[name] = tuple(loose)
    return MappingProxyType(found)


def read_alike(
    design: Design, network: Network, meters: Mapping[str, Meter], name: str
) -> tuple[tuple[str, ...], StrayLead] | None:
    """The later monitors of a voltage on the same instrument that read the point of this one, and the
    inputs that lead there; None where there is none.

    Where one of them is declared to sense its own input, so that the file does not say of what it is
    to tell. Of several on one point the others say it themselves.
    """
    meter, found = meters[name], dict[str, tuple[int, tuple[str, ...]]]()
    if not isinstance(design.parts.get(bare(meter.instrument)), p.Instrument):
        return None
    for other, m in meters.items():
        if m.instrument == meter.instrument and m.drawn and not m.shunt and m.shows == "voltage":
            at = _point(design, network, m.ends[0])
            if at is not None:
                found[other] = at
    alike = [n for n, (at, _) in found.items() if name in found and at == found[name][0]]
    inputs = tuple(dict.fromkeys(network.names[meters[n].ends[0]] for n in alike))
    own = _inputs(design, network, meter, [bare(meter.instrument)]) if alike else set()
    if alike[:1] != [name] or len(inputs) < 2 or not any(own & set(meters[n].sensed) for n in alike):
        return None
    path = tuple(dict.fromkeys(e for n in alike for e in found[n][1]))
    return tuple(alike[1:]), StrayLead(inputs, network.names[found[name][0]], path)


def _lamp_lead(design: Design, network: Network, meter: Meter) -> SenseLead:
    """Whether a lamp is lit by what its monitor senses: it is joined to that, or a relay that it is
    joined to has its coil there.

    A unit or a sensor that lights it may sense it from elsewhere. Of a current nothing is said.
    """
    lamp = bare(meter.instrument)
    supplies = {network.node(f"{lamp}.{t}"): f"{lamp}.{t}" for t in design.part(lamp, p.Load).supplies}

    def onward(node: int) -> Iterator[tuple[int, str]]:
        if network.names[node].partition(".")[0] == lamp or isinstance(
            _part(design, network, node), _IN_LAMP_LINE
        ):
            for i, other, _ in network.around[node]:
                if network.links[i].gate is not Gate.SHIELD:
                    yield other, network.links[i].element

    def lights_it(node: int) -> bool:
        name, _, terminal = network.names[node].partition(".")
        part = design.parts[name]
        if isinstance(part, p.Electromagnet):
            return any(network.node(f"{name}.{t}") in sensed for t in part.coil)
        if isinstance(part, p.Consumer):
            return name != lamp and terminal not in part.supplies
        return isinstance(part, (p.Sensor, p.Alternator)) and node not in ends

    ends = {n for source in network.sources for n in (source.positive, source.negative)}
    sensed = _joined(design, network, meter.sensed[0], _through_protectors)
    touched = reachable_by([*supplies, *meter.returns], lambda n: (other for other, _ in onward(n)))
    if meter.shunt or touched & sensed or any(map(lights_it, touched)):
        return SenseLead(True)
    goals = {n for n in touched if not isinstance(_part(design, network, n), (*_IN_LAMP_LINE, *_NO_POINT))}
    for supply, terminal in supplies.items():
        found = shortest(supply, goals, onward)
        if found is not None:
            path = tuple(e for e, _ in groupby(found[1]))
            return SenseLead(False, StrayLead((terminal,), network.names[found[0]], path))
    return SenseLead(False)


def deselected(design: Design, network: Network, meter: Meter, switches: Mapping[str, str]) -> bool:
    """Whether a monitor has a lead to its instrument by a selector that is at another position."""
    if not isinstance(design.parts.get(bare(meter.instrument)), p.Instrument) or meter.drawn:
        return False
    inputs = _inputs(design, network, meter, [bare(meter.instrument)])
    return _joined_to(design, network, meter, inputs) and not all(
        inputs & _joined(design, network, node, _in_line, switches) for node in meter.sensed
    )


def _inputs(design: Design, network: Network, meter: Meter | None, instruments: Iterable[str]) -> set[int]:
    """The nodes of the inputs of some instruments by which a monitor can read; all for None."""
    return {
        network.node(f"{name}.{terminal}")
        for name in instruments
        for terminal in sense_terminals(design.part(name, p.Instrument), meter is None or bool(meter.shunt))
    }


def _joined_to(design: Design, network: Network, meter: Meter, inputs: Set[int]) -> bool:
    """Whether leads join each point that a monitor senses to one of some inputs."""
    return all(inputs & _joined(design, network, node, _in_line) for node in meter.sensed)


def _joined(
    design: Design,
    network: Network,
    sensed: int,
    passes: Passes,
    positions_of: Mapping[str, str] | None = None,
    barred: Set[str] = _ANY,
) -> set[int]:
    """What is joined to a point by leads that pass no shunt and no other bus, source or unit, and none
    of the switches that are ``barred``, by name.

    A switch is passed in one position at a time: not from one throw to the other; where positions
    are given, by name, in its own alone.
    """
    own = network.names[sensed].partition(".")[0]
    seen: dict[int, set[frozenset[str]]] = {sensed: {_ANY}}
    todo = [(sensed, _ANY)]
    while todo:
        node, positions = todo.pop()
        name = network.names[node].partition(".")[0]
        if name != own and not isinstance(design.parts[name], (*_IN_LINE, p.Switch)):
            continue
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if isinstance(design.parts.get(bare(link.element)), p.Shunt):
                continue
            at = _ANY
            if link.gate is Gate.SWITCH and bare(link.element) not in barred:
                at = link.positions & positions if positions else link.positions
                if positions_of is not None:
                    at &= {positions_of.get(bare(link.element), "")}
            elif link.gate is not Gate.SWITCH and not passes(design, network, (i, other, leaving)):
                continue
            if (at or link.gate is not Gate.SWITCH) and at not in seen.setdefault(other, set()):
                seen[other].add(at)
                todo.append((other, at))
    return set(seen)


def _through_protectors(design: Design, network: Network, step: Step) -> bool:
    """Lets conductors and all protectors through."""
    return conductors_and_protectors(network.links[step[0]], step[2])


def _in_line(design: Design, network: Network, step: Step) -> bool:
    """Lets conductors through, and a protector that serves what is beyond it as a sense lead
    only."""
    link, other, leaving = step
    if network.links[link].gate is not Gate.PROTECTOR:
        return conductors(network.links[link], leaving)
    return _lead_only(design, network, link, other)


def _lead_only(design: Design, network: Network, protector: int, beyond: int) -> bool:
    """Whether all that a protector feeds, from one of its nodes on, are inputs of instruments.

    The supply of an instrument with such an input is as good, and so is a switch that selects it.
    """

    fed = _fed(design, network, {beyond}, protector)
    selected = {o for n in fed for i, o, _ in network.around[n] if network.links[i].gate is Gate.SWITCH}
    fed |= _fed(design, network, selected, protector)
    inputs = _inputs(design, network, None, design.of_kind(p.Instrument))
    senses = {network.names[n].partition(".")[0] for n in fed & inputs}
    return all(
        n in inputs
        or network.names[n].partition(".")[0] in senses
        or isinstance(_part(design, network, n), (*_IN_LINE, p.Switch))
        for n in fed
    )


def _fed(design: Design, network: Network, starts: Set[int], protector: int) -> set[int]:
    """What is joined to some nodes by parts in line, without one protector."""

    def onward(node: int) -> Iterator[int]:
        if node in starts or isinstance(_part(design, network, node), _IN_LINE):
            for i, other, leaving in network.around[node]:
                if i != protector and conductors_and_protectors(network.links[i], leaving):
                    yield other

    return reachable_by(starts, onward)


def _part(design: Design, network: Network, node: int) -> p.Part:
    return design.parts[network.names[node].partition(".")[0]]


def _stray_lead(design: Design, network: Network, meters: Mapping[str, Meter], name: str) -> StrayLead | None:
    """The first point that an input of a monitor's instrument is at and no monitor shown there
    reads by it; one side of its shunt where both inputs are there."""
    leads = _leads(design, network, meters[name])
    strays = [leads[terminal][0] for terminal in _unread(design, network, meters, name)]
    elsewhere = [at for at in strays if at not in meters[name].sensed]
    point = next(iter(elsewhere or [at for at in strays if strays.count(at) > 1]), None)
    if point is None:
        return None
    there = {terminal: path for terminal, (at, path) in leads.items() if at == point}
    path = dict.fromkeys(e for lead in there.values() for e in lead)
    return StrayLead(tuple(there), network.names[point], tuple(path))


def _spare_lead(
    design: Design, network: Network, meters: Mapping[str, Meter], name: str, at_ground: bool
) -> StrayLead | None:
    """The first point at which a monitor's instrument has more inputs than it shows monitors of
    it, or a voltage input ``at_ground``: one of these is the input that was to read the monitor."""
    meter = meters[name]
    leads = _leads(design, network, meter, at_ground)
    shown = [m for m in meters.values() if m.instrument == meter.instrument]
    for point in dict.fromkeys(at for at, _ in leads.values()):
        there = {terminal: path for terminal, (at, path) in leads.items() if at == point}
        inputs = {network.node(terminal) for terminal in there}
        if len(there) > sum(not inputs.isdisjoint(_read(design, network, [m])) for m in shown):
            path = dict.fromkeys(e for lead in there.values() for e in lead)
            return StrayLead(tuple(there), network.names[point], tuple(path))
    return None


def _leads(
    design: Design, network: Network, meter: Meter, at_ground: bool = False
) -> dict[str, tuple[int, tuple[str, ...]]]:
    """Input that can read what a monitor shows -> the point that it is at, and the path there.

    A ground is such a point only for an input that reads a voltage, and where that is asked.
    """
    instrument = bare(meter.instrument)
    leads = {}
    terminals = sense_terminals(design.part(instrument, p.Instrument), bool(meter.shunt))
    for name, signal in terminals.items():
        if signal.reads == "closed-to-ground" or (
            signal.reads == "closed-to-supply" and meter.shows != "live"
        ):
            continue
        grounds = at_ground and signal.reads == "voltage"
        found = _point(design, network, network.node(f"{instrument}.{name}"), () if grounds else _GROUNDS)
        if found is not None:
            leads[f"{instrument}.{name}"] = found
    return leads


def _unread(design: Design, network: Network, meters: Mapping[str, Meter], name: str) -> list[str]:
    """The inputs of a monitor's instrument that are at some point, and by which none of its
    monitors reads."""
    instrument = meters[name].instrument
    read = _read(design, network, [m for m in meters.values() if m.instrument == instrument])
    return [t for t in _leads(design, network, meters[name]) if network.node(t) not in read]


def _read(design: Design, network: Network, meters: Iterable[Meter]) -> set[int]:
    """The inputs by which some monitors of an instrument read: they are joined to what these
    sense."""
    read: set[int] = set()
    for meter in meters:
        if meter.drawn:
            read.update(meter.ends)
        elif _joined_to(design, network, meter, _inputs(design, network, meter, [bare(meter.instrument)])):
            for node in meter.sensed:
                read |= _joined(design, network, node, _in_line)
    return read


def _point(
    design: Design, network: Network, start: int, but: tuple[type[p.Part], ...] = _GROUNDS
) -> tuple[int, tuple[str, ...]] | None:
    """The nearest node to which an input leads that is not in line, with the path; None where it
    leads to a sensor, another unit or one of some other parts.

    A protector that feeds other things than leads is not in line.
    """

    def onward(node: int) -> Iterator[tuple[int, str]]:
        if node == start or isinstance(_part(design, network, node), _IN_LINE):
            for i, other, leaving in network.around[node]:
                link = network.links[i]
                if link.gate is Gate.PROTECTOR and not _lead_only(design, network, i, node):
                    continue
                if conductors_and_protectors(link, leaving):
                    yield other, link.element

    def at_protector(node: int) -> bool:
        gates = [(network.links[i].gate, other) for i, other, _ in network.around[node]]
        return any(gate is Gate.PROTECTOR and other not in near for gate, other in gates)

    near = reachable_by([start], lambda node: (other for other, _ in onward(node)))
    goals = {n for n in near if not isinstance(_part(design, network, n), _IN_LINE) or at_protector(n)}
    inputs = _inputs(design, network, None, design.of_kind(p.Instrument))
    plain = {n for n in goals - inputs if not isinstance(_part(design, network, n), p.Switch)}
    found = shortest(start, (plain or goals) - {start}, onward)
    if found is None or isinstance(_part(design, network, found[0]), (p.Consumer, *but, p.Sensor)):
        return None
    return found[0], tuple(e for e, _ in groupby(found[1]))
