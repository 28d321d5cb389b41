"""Reversing relays that are energised together: both leads of a motor are then at the bus."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, PoweredDevice
from reviewer.network.search import conductors_and_protectors, reachable


@record
class BothAtTheBus:
    """In ``state`` two energised ``relays`` (pointers) put both leads of a load at a source."""

    state: str
    relays: tuple[str, str]


def both_at_the_bus(network: Network, answers: Iterable[StateAnswer], load: str) -> BothAtTheBus | None:
    """The first state in which the energised contact of one relay feeds the supply of a load and
    that of another its return, so that it has no voltage.

    Two relays at rest that hold both leads at the bus are a brake, and none.
    """
    consumer = next(c for c in network.consumers if c.element == load)
    for answer in answers:
        healthy = answer.healthy
        if healthy.powered[load]:
            continue
        supply, back = (_feeding(network, answer, nodes) for nodes in (consumer.plus, consumer.minus))
        pairs = ((one, other) for one in supply for other in back if one != other)
        if pair := next(pairs, None):
            return BothAtTheBus(answer.state.name, pair)
    return None


def _feeding(network: Network, answer: StateAnswer, leads: tuple[int, ...]) -> tuple[str, ...]:
    """The energised relays of which a closed contact stands between a lead that a source feeds and
    that source."""
    healthy = answer.healthy
    near = reachable(network, (n for n in leads if healthy.live(n)), conductors_and_protectors)
    return tuple(
        dict.fromkeys(
            link.element
            for link in network.links
            if link.gate is Gate.ENERGISED
            and link.element not in network.follower
            and healthy.energised[link.element]
            and (link.a in near) != (link.b in near)
            and healthy.live(link.b if link.a in near else link.a)
        )
    )


def reversible(network: Network, consumer: PoweredDevice) -> bool:
    """Whether a relay's energised contact is beside each lead of a load."""
    contacts = [network.links[i] for i, _, energised in network.relayed if energised]
    return all(
        any(link.a in near or link.b in near for link in contacts)
        for near in (
            reachable(network, nodes, conductors_and_protectors) for nodes in (consumer.plus, consumer.minus)
        )
    )
