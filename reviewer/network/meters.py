"""Monitors in the network: where each gets its reading, and by which lead."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from types import MappingProxyType

from reviewer.model import parts as p
from reviewer.model.design import Design, Monitor
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import reachable, shortest


@record
class Meter:
    """One monitor.

    * ``sensed`` are the nodes that it monitors, ``ends`` those at the instrument (the same where no
      lead is drawn);
    * ``lead`` are the elements of its sense leads, or a lamp with the wires to and from it;
      ``drawn`` says whether the drawing has them;
    * ``instrument`` is the element that shows it, or ""; ``lamp`` is True for one that only lights;
    * ``warns_below`` is True where an alarm is given below a voltage;
    * ``returns`` are the return nodes of the instrument, ``zero`` that from which it reads volts:
      the return of the input where it has one; -1 where no instrument is declared;
    * ``shunt`` is the element whose current is shown, or "";
    * ``stray`` is True where no lead is drawn from what it senses and the ends are inputs of the
      instrument that lead elsewhere;
    * ``exchanged`` is True where the input of an ammeter has its signal at the load side of the shunt
      and its return at the line side: it reads with the other sign;
    * ``paired`` is False where the leads of an ammeter go to two inputs of which neither is the other's
      return: which of them is high is not in the file;
    * ``unknown`` is True where the drawing does not say by what it reads;
    * ``grounded`` is True for one of something live whose input is declared to read what closes it to
      ground;
    * ``charge`` is True for an ammeter that is declared to show charge and discharge of a battery.
    """

    name: str
    shows: str
    sensed: tuple[int, ...]
    ends: tuple[int, ...]
    lead: tuple[str, ...]
    drawn: bool
    instrument: str
    lamp: bool
    warns_below: bool
    returns: tuple[int, ...]
    zero: int
    shunt: str
    stray: bool = False
    unknown: bool = False
    exchanged: bool = False
    paired: bool = True
    grounded: bool = False
    charge: bool = False


def meters(design: Design, network: Network) -> Mapping[str, Meter]:
    """The monitors of a design, by name, each at what it is declared to sense where no lead is
    drawn."""
    return MappingProxyType(
        {name: _meter(design, network, name, monitor) for name, monitor in design.watch.monitors.items()}
    )


def _meter(design: Design, network: Network, name: str, monitor: Monitor) -> Meter:
    shunt = monitor.senses if "." not in monitor.senses else ""
    terminals = (f"{shunt}.line", f"{shunt}.load") if shunt else (monitor.senses,)
    sensed = tuple(network.node(t) for t in terminals)
    part = design.parts[monitor.displayed_on] if monitor.displayed_on else None
    wiring = _wiring(network, part, monitor, sensed, bool(shunt))
    ends, lead = wiring or (sensed, ())
    returns = tuple(network.node(f"{monitor.displayed_on}.{t}") for t in part.returns) if part else ()
    return Meter(
        name=name,
        shows=monitor.shows,
        sensed=sensed,
        ends=ends,
        lead=lead,
        drawn=wiring is not None,
        instrument=f"parts/{monitor.displayed_on}" if monitor.displayed_on else "",
        lamp=isinstance(part, p.Load),
        warns_below=monitor.alarm_below is not None,
        returns=returns,
        zero=zero(network, monitor, ends[0], part) if isinstance(part, p.Consumer) else -1,
        shunt=f"parts/{shunt}" if shunt else "",
        exchanged=bool(shunt)
        and isinstance(part, p.Instrument)
        and ends[::-1] in _pairs(network, monitor, part),
        paired=not (shunt and wiring and isinstance(part, p.Instrument))
        or not {ends, ends[::-1]}.isdisjoint(_pairs(network, monitor, part)),
        grounded=monitor.shows == "live"
        and isinstance(part, p.Instrument)
        and any(
            signal.reads == "closed-to-ground"
            and network.node(f"{monitor.displayed_on}.{signal.signal}") == ends[0]
            for signal in part.inputs.values()
        ),
        charge=bool(shunt) and monitor.indicates == "battery-charge",
    )


def charging_sign(network: Network, meter: Meter) -> int:
    """The sign of what an ammeter reads while a battery is charged: of one that is declared to show that,
    where batteries are on one side of its shunt and not on the other; else 0."""
    if not meter.charge:
        return 0
    batteries = {s.positive for s in network.sources if s.kind == "battery"}
    line, load = (
        bool(batteries & reachable(network, (node,), lambda k, _: k.element != meter.shunt and not k.oneway))
        for node in meter.sensed
    )
    return (int(load) - int(line)) * (-1 if meter.exchanged else 1)


def _pairs(network: Network, monitor: Monitor, part: p.Instrument) -> set[tuple[int, ...]]:
    """(signal, return) of each input that reads against a return of its own."""
    name = monitor.displayed_on
    return {
        (network.node(f"{name}.{signal.signal}"), network.node(f"{name}.{signal.return_}"))
        for signal in part.inputs.values()
        if signal.return_
    }


def sense_terminals(part: p.Instrument, shunt: bool) -> dict[str, p.SignalInput]:
    """The terminals of an instrument that a sense lead may go to, with their inputs: the signals, and
    for a shunt also the returns that are not joined to that of the instrument."""
    found = {signal.signal: signal for signal in part.inputs.values()}
    if shunt and part.signal_returns != "joined":
        found |= {s.return_: s for s in part.inputs.values() if s.return_ and s.return_ not in part.returns}
    return found


def zero(network: Network, monitor: Monitor, end: int, part: p.Consumer) -> int:
    """The node from which a monitor, shown by a part, reads the volts of an end of its lead."""
    if isinstance(part, p.Instrument):
        for signal in part.inputs.values():
            if signal.return_ and network.node(f"{monitor.displayed_on}.{signal.signal}") == end:
                return network.node(f"{monitor.displayed_on}.{signal.return_}")
    return network.node(f"{monitor.displayed_on}.{part.returns[0]}")


def _wiring(
    network: Network, part: p.Part | None, monitor: Monitor, sensed: tuple[int, ...], shunt: bool
) -> tuple[tuple[int, ...], tuple[str, ...]] | None:
    """(ends, elements of the leads) of a monitor; None where they are not drawn."""
    if isinstance(part, p.Instrument):
        inputs = {network.node(f"{monitor.displayed_on}.{t}") for t in sense_terminals(part, shunt)}
        leads = [_lead(network, node, inputs, shunt) for node in sensed]
        drawn = [lead for lead in leads if lead is not None]
        if len(drawn) < len(sensed):
            return None
        elements = dict.fromkeys(e for _, lead in drawn for e in lead)
        return tuple(end for end, _ in drawn), tuple(elements)
    return None if part is None else (sensed, _branch(network, f"parts/{monitor.displayed_on}"))


def _branch(network: Network, lamp: str) -> tuple[str, ...]:
    """A lamp, and the elements that lead to it and from it and to nothing else."""
    links = {
        i
        for chain in network.contracted.chains
        if {chain.a, chain.b} & set(network.nodes_of[lamp])
        for i, _ in chain.steps
    }
    elements = {network.links[i].element for i in links}
    others = {link.element for i, link in enumerate(network.links) if i not in links}
    return (*(e for e in network.elements if e in elements - others), lamp)


def _lead(
    network: Network, sensed: int, goals: Collection[int], exactly: bool
) -> tuple[int, tuple[str, ...]] | None:
    """The shortest path from a sensed node to an input by conductors and protectors that lead
    nowhere else: its end and its elements. None where there is no such path.

    The other terminals of a bus are as good as the sensed one, unless ``exactly`` that one is
    meant.
    """
    own = network.names[sensed].partition(".")[0]

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for i, other, _ in network.around[node]:
            link = network.links[i]
            if link.oneway or link.gate not in (Gate.ALWAYS, Gate.PROTECTOR):
                continue
            bar = (
                link.element == f"parts/{own}"
                and network.names[other].partition(".")[0] == own
                and not exactly
            )
            if bar or other in goals or other in network.contracted.pendant:
                yield other, "" if bar else link.element

    nearest = shortest(sensed, goals, onward)
    return None if nearest is None else (nearest[0], tuple(dict.fromkeys(e for e in nearest[1] if e)))
