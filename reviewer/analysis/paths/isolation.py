"""Isolation: what feeds a bus that must be dead, single-throw switches that parallel two sources,
and change-over switches whose two throws are fed from one point."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import chain, combinations

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import conductors, reachable, reachable_by


def _one_conductor(network: Network, start: int) -> set[int]:
    """The nodes joined to one by plain conductors."""
    return reachable(network, [start], conductors)


@record
class Tie:
    """Two poles of a single-throw switch that bring two sources to one place."""

    switch: str
    sources: tuple[str, str]


def single_throw_ties(design: Design, network: Network, name: str) -> Tie | None:
    """The two sources of a switch with one throw whose closed contacts join feeds of both; else
    None.

    One throw: in no position does a terminal meet another partner than in the others.
    """
    poles = _single_throw_poles(design, network, name)
    fed = [side for pole in poles if (side := _fed_side(network, pole, f"parts/{name}"))]
    for (one, reach), (other, reach_of_other) in combinations(fed, 2):
        if reach & reach_of_other and one != other:
            return Tie(f"parts/{name}", (min(one - other or one), min(other - one or other)))
    return None


def _single_throw_poles(design: Design, network: Network, name: str) -> list[tuple[int, int]]:
    """The nodes of each pole of a switch; none where it has two throws or a single pole."""
    partners: dict[str, set[str]] = {}
    for pairs in design.parts[name].positions.values():
        for one, other in pairs:
            partners.setdefault(one, set()).add(other)
            partners.setdefault(other, set()).add(one)
    if any(len(v) > 1 for v in partners.values()) or len(partners) < 4:
        return []
    poles = set()
    for one, others in partners.items():
        for other in others:
            low, high = sorted((network.node(f"{name}.{one}"), network.node(f"{name}.{other}")))
            poles.add((low, high))
    return sorted(poles)


def _fed_side(network: Network, pole: tuple[int, int], switch: str) -> tuple[set[str], set[int]] | None:
    """The sources on the one side of a pole that has any, and the nodes joined to its other side.

    None where neither or both sides have a source. Relay contacts are passed where no source is
    found without them.
    """
    sources = [_sources_behind(network, node, switch, contacts=False) for node in pole]
    if not any(sources):
        sources = [_sources_behind(network, node, switch, contacts=True) for node in pole]
    if bool(sources[0]) == bool(sources[1]):
        return None
    fed = 0 if sources[0] else 1
    return sources[fed], _without_contacts(network, pole[1 - fed], switch)


def _sources_behind(network: Network, node: int, without: str, contacts: bool) -> set[str]:
    """The batteries and external power that reach a node by :func:`_without_contacts`."""
    positives = {s.positive: s.element for s in network.sources if s.kind != "alternator"}
    return {positives[n] for n in _without_contacts(network, node, without, contacts) if n in positives}


def _without_contacts(network: Network, start: int, without: str, contacts: bool = False) -> set[int]:
    """The nodes joined to one by conductors and protectors, and relay contacts if ``contacts``."""
    gates = {Gate.ALWAYS, Gate.PROTECTOR} | ({Gate.ENERGISED, Gate.DE_ENERGISED} if contacts else set())
    return reachable(
        network,
        [start],
        lambda link, leaving: link.element != without and not link.oneway and link.gate in gates,
    )


@record
class OneFeed:
    """Two throws of a switch, each on its common in a position of its own, that ``point`` feeds."""

    throws: tuple[str, str]
    positions: tuple[str, str]
    point: str


def one_feed(design: Design, network: Network, name: str) -> OneFeed | None:
    """Two throws of a switch that are fed from one bus or source, by conductors and protection.

    The common is not fed but by the switch. A wire with a resistance of its own is another feed: it
    dims or slows what the switch feeds.
    """
    part, element = design.part(name, p.Switch), f"parts/{name}"
    contacts = {pair for pairs in part.positions.values() for pair in pairs}
    if max(Counter(chain.from_iterable(contacts)).values(), default=0) < 2:
        return None  # no common has two throws
    fed = reachable(
        network,
        (s.positive for s in network.sources),
        lambda link, leaving: link.element != element and link.gate is not Gate.SHIELD
        and (leaving or not link.oneway),
    )  # fmt: skip
    # a switch that reverses a motor joins its ground to a feed: the ground is no feed for that
    positives = {s.positive for s in network.sources}
    for source in network.sources:
        returned = reachable(network, [source.negative], conductors)
        if returned.isdisjoint(positives):  # else the upper battery of a string
            fed -= returned
    joined: dict[tuple[str, str], set[str]] = {}
    for position, pairs in part.positions.items():
        for one, other in pairs:
            for common, throw in ((one, other), (other, one)):
                if network.node(f"{name}.{throw}") in fed and network.node(f"{name}.{common}") not in fed:
                    joined.setdefault((common, throw), set()).add(position)
    for ((common, one), at), ((same, other), there) in combinations(joined.items(), 2):
        if common == same and at - there and there - at:
            shared = _feed(design, network, f"{name}.{one}") & _feed(design, network, f"{name}.{other}")
            if shared:
                bars = [n for n in shared if "." not in network.names[n]]
                point = network.names[min(bars or shared)]
                return OneFeed((one, other), (min(at - there), min(there - at)), point)
    return None


def _feed(design: Design, network: Network, terminal: str) -> set[int]:
    """What is joined to a terminal by conductors and protection, up to the nearest bus or source."""
    ends = {s.positive for s in network.sources}
    own = {f"wires/{n}" for n, wire in design.wires.items() if wire.resistance}

    def onward(node: int) -> Iterator[int]:
        if node in ends or isinstance(design.parts[network.names[node].partition(".")[0]], p.Bus):
            # the bar of a bus is what its terminals have in common
            near = [i for i, _, _ in network.around[node] if network.links[i].element.startswith("parts/")]
        else:
            near = [i for i, _, _ in network.around[node]]
        for i in near:
            link = network.links[i]
            if link.gate in (Gate.ALWAYS, Gate.PROTECTOR) and not link.oneway and link.element not in own:
                yield link.b if link.a == node else link.a

    return reachable_by([network.node(terminal)], onward)


def senses_at_terminal(network: Network, terminal: str, post: int) -> bool:
    """Whether a sense point is joined to the terminal of a battery by conductors alone, or through
    a protector that serves the sense lead only."""
    near = _one_conductor(network, network.node(terminal))
    if post in near:
        return True
    supplies = {n for c in network.consumers for n in c.inlets}
    edges = {(i, other) for n in near for i, other, _ in network.around[n] if other not in near}
    across = [other for i, other in edges if network.links[i].gate is Gate.PROTECTOR]
    return (
        len(edges) == len(across) == 1 and not near & supplies and post in _one_conductor(network, across[0])
    )


def live_path(network: Network, answer: StateAnswer, node: int) -> tuple[str, tuple[str, ...]] | None:
    """A source that feeds a node in the healthy state, and its path; None if it is dead."""
    for source in answer.fed_by(node):
        return source, feed_path(network, answer, source, node)
    return None
