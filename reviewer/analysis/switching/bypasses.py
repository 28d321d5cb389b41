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
from reviewer.network.graph import Gate, Link, Network, bare
from reviewer.network.search import conductors_and_protectors, reachable, shortest

_CONTACTS = (Gate.ENERGISED, Gate.DE_ENERGISED)
_NOT_PASSED = (p.Bus, *p.SOURCES)


@record
class Bypass:
    """A contact between two ``terminals`` (names) of an element, and the ``path`` around it.

    ``users`` are the loads, instruments and coils (names) of the circuit; ``alternators`` those of
    which a relay could take off what an overvoltage trip takes off: the field, or the output.
    """

    element: str
    terminals: tuple[str, str]
    path: tuple[str, ...]
    users: tuple[str, ...]
    alternators: tuple[str, ...] = ()


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
            relay = isinstance(design.parts[bare(element)], p.Electromagnet)
            tripped = tuple(_tripped(design, network, {element, *path})) if relay else ()
            yield Bypass(element, terminals, path, users(design, network, [one, other]), tripped)


def _tripped(design: Design, network: Network, without: Collection[str]) -> Iterator[str]:
    """The alternators with an overvoltage trip whose field has no feed, or whose output leads to no
    other source, where some elements are away: what they join is all that a trip can open."""

    def passes(link: Link, leaving: bool) -> bool:
        return link.element not in without and link.gate is not Gate.SHIELD and (leaving or not link.oneway)

    for source in network.sources:
        part = design.parts[bare(source.element)]
        if not isinstance(part, p.Alternator) or part.overvoltage_trip in (None, "none"):
            continue
        others = {s.positive for s in network.sources if s is not source}
        feed = source.excited_at if part.trip_acts_on == "field" else None
        if feed is not None and feed not in reachable(network, others | {source.positive}, passes):
            yield bare(source.element)
        if part.trip_acts_on in ("output", "coil-short") and not others & reachable(
            network, [source.positive], passes
        ):
            yield bare(source.element)


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
