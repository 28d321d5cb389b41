"""Which contacts of switches and relays join signals, and which carry power.

A voltage sense lead on a bus makes no signal contact of what feeds the bus or is fed by it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Gate, Link, Network
from reviewer.network.search import conductors_and_protectors, reachable, reachable_by


def signal_contacts(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> tuple[tuple[str, str, str], ...]:
    """Contacts of switches and relays that join a signal input to something.

    As (element, terminal, terminal): on one side of them lie signals and no source, load, field or
    coil. Nor does that side feed one, or take current from one, through other contacts and diodes
    in a state that closes the contact; in the normal state, where none closes it.
    """
    signals = {
        f"{n}.{i.signal}" for n in design.of_kind(p.Instrument) for i in design.parts[n].inputs.values()
    }
    signals |= {f"{n}.signal" for n in design.of_kind(p.Sensor)}
    nodes, power = {network.node(t) for t in signals}, _ends_of_power(network)
    found = []
    for i, link in enumerate(network.links):
        if _is_contact(link):
            closing = [answer for answer in answers if conducts(network, answer, i)] or answers[:1]
            for node in (link.a, link.b):
                side = reachable(network, [node], conductors_and_protectors)
                if not side & nodes or side & power:
                    continue
                if not any(power & _joined(network, answer, i, node) for answer in closing):
                    found.append((link.element, network.names[link.a], network.names[link.b]))
                    break
    return tuple(found)


def _ends_of_power(network: Network) -> set[int]:
    """The nodes of all sources, with the fields of alternators, and of all loads and coils."""
    ends = {n for s in network.sources for n in s.nodes}
    return ends | {n for c in (*network.consumers, *network.coils) for n in (*c.plus, *c.minus)}


def _joined(network: Network, answer: StateAnswer, contact: int, node: int) -> set[int]:
    """What current from a node reaches, and what current to it comes from, in a state, the node
    being an end of a contact; with the contact closed, and not through it.

    Contacts that are open in the state feed on what no source reaches in it, either way: a load that
    is off. On another bus they would only make a tie.
    """
    own, closed, healthy = network.links[contact], conducts(network, answer, contact), answer.healthy

    def passes(i: int, leaving: bool) -> bool:
        link = network.links[i]
        if i == contact or link.gate is Gate.SHIELD:
            return False
        if link.element == own.element and not closed:  # moved to where it closes
            return bool(link.positions & own.positions) if own.positions else link.gate is own.gate
        return conducts(network, answer, i, leaving)

    def idle(at: int) -> bool:
        return not healthy.live(at) and not any(returned[at] for returned in healthy.returned.values())

    def feeds(i: int, other: int) -> bool:
        return _is_contact(network.links[i]) and network.links[i].element != own.element and idle(other)

    def to(at: int) -> Iterator[int]:
        for i, other, leaving in network.around[at]:
            if passes(i, leaving) or feeds(i, other):
                yield other

    def back(at: int) -> Iterator[int]:
        for i, other, leaving in network.around[at]:
            if passes(i, not leaving):
                yield other

    return reachable_by([node], to) | reachable_by([node], back)


def _is_contact(link: Link) -> bool:
    return link.gate in (Gate.SWITCH, Gate.ENERGISED, Gate.DE_ENERGISED)


def power_contacts(network: Network, signals: Collection[tuple[str, str, str]]) -> tuple[str, ...]:
    """Switches and relays with a contact that is not among those of signals."""
    contacts = [link for link in network.links if _is_contact(link)]
    return tuple(
        dict.fromkeys(
            c.element for c in contacts if (c.element, network.names[c.a], network.names[c.b]) not in signals
        )
    )
