"""Contacts of switches and relays that open nothing, because a conductor joins their terminals.

The conductor may be wires, splices, studs, connectors, shunts, grounds, and circuit protection
that no declared state has pulled. A path by a bus or a source is none: it is a second feed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import groupby

from reviewer.analysis.wiring.circuits import users
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import conductors_and_protectors, shortest

_CONTACTS = (Gate.ENERGISED, Gate.DE_ENERGISED)
_NOT_PASSED = (p.Bus, p.Battery, p.Alternator, p.ExternalPower)


@record
class Bypass:
    """A contact between two ``terminals`` (names) of an element, and the ``path`` around it.

    ``users`` are the loads, instruments and coils (names) of the circuit.
    """

    element: str
    terminals: tuple[str, str]
    path: tuple[str, ...]
    users: tuple[str, ...]


def bypasses(design: Design, network: Network) -> Iterator[Bypass]:
    """Every contact that a conductor bypasses, once."""
    states = design.operation.states.values() if design.operation else ()
    pulled = {f"parts/{name}" for state in states for name in state.pulled or ()}
    # the positions are those of a switch or a breaker-switch
    contacts = dict.fromkeys(
        (link.element, min(link.a, link.b), max(link.a, link.b))
        for link in network.links
        if link.gate in _CONTACTS or link.positions
    )
    for element, one, other in contacts:
        path = _around(design, network, {element, *pulled}, one, other)
        if path:
            terminals = network.names[one].partition(".")[2], network.names[other].partition(".")[2]
            yield Bypass(element, terminals, path, users(design, network, [one, other]))


def _around(
    design: Design, network: Network, without: Collection[str], one: int, other: int
) -> tuple[str, ...]:
    """The elements of the shortest conductor from one node to another without some elements."""

    def onward(node: int) -> Iterator[tuple[int, str]]:
        if isinstance(design.parts[network.names[node].partition(".")[0]], _NOT_PASSED):
            return
        for i, beyond, leaving in network.around[node]:
            link = network.links[i]
            inside = isinstance(design.parts.get(bare(link.element)), p.Consumer)
            passes = conductors_and_protectors(link, leaving) and not link.positions and not inside
            if passes and link.element not in without:
                yield beyond, link.element

    found = shortest(one, {other}, onward)
    return tuple(element for element, _ in groupby(found[1])) if found else ()
