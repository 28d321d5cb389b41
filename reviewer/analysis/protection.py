"""From which ends a wire can be fed, what protects it from each of them, and how far it runs without protection.

For each end of a wire, the wire is taken away and the network is walked against the current from that end, stopping at
protectors. A source that is met on the way feeds the end unprotected; the protectors met, with something live behind them, are
those that protect the wire from that end. The customary exemptions are computed, not named: the starter's main circuit is
what the starter motor cannot run without; a battery's own cable ends at a contactor's main contact.
"""

from __future__ import annotations

import heapq

from reviewer.analysis.failures import OPEN
from reviewer.analysis.states import StateAnswer, conducts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare
from reviewer.tables.table import OutsideTable, protector_limit

#: unprotected length allowed between a source or bus and the first protector, metres (0.5 ft); common practice, no source
STUB_M = 0.15


@record
class EndFeed:
    """How one end of a wire is fed in one state.

    ``sources`` reach the end with no protector; ``protectors`` stand between the end and something live; ``run_m`` is the length of
    unprotected conductor up to and including this wire, None where a length is missing.
    """

    wire: str
    end: str
    state: str
    sources: tuple[str, ...]
    protectors: tuple[str, ...]
    run_m: float | None


def wire_feeds(design: Design, network: Network, answer: StateAnswer) -> dict[str, tuple[EndFeed, ...]]:
    """For each wire that a source can feed in this state, how each end is fed with the wire itself taken away."""
    walk = _Walk(network, answer)
    exempt = exempt_wires(design, network, answer)
    distance = _unprotected_distance(design, network, walk, exempt)
    found: dict[str, tuple[EndFeed, ...]] = {}
    for name, wire in design.wires.items():
        element = f"wires/{name}"
        ends = []
        for terminal in (wire.from_, wire.to):
            node = network.node(terminal)
            sources, protectors = walk.behind(node, element) if walk.live[node] else ((), ())
            if not sources and not protectors:
                continue
            run = distance.get(node)
            length = None if run is None or wire.length is None else run + wire.length
            ends.append(EndFeed(element, terminal, answer.state.name, sources, protectors, length))
        if ends:
            found[element] = tuple(ends)
    return found


class _Walk:
    """Walks against the current in the healthy state of an answer."""

    def __init__(self, network: Network, answer: StateAnswer):
        self.network = network
        self.along = [conducts(network, answer, i) for i in range(len(network.links))]
        self.positives = {s.positive: s.element for s in network.sources if answer.healthy.alive[s.element]}
        self.live = [answer.healthy.live(n) for n in range(len(network.names))]
        #: for each node, the (link index, live node) pairs from which current can flow into it
        self.ways = [
            [(i, other) for i, other, leaving in around if self.live[other] and self.along[i] and not (network.links[i].oneway and leaving)]
            for around in network.around
        ]
        self.reached: dict[int, list[set[int]]] = {}
        self.barred: dict[int, list[set[int]]] = {}

    def behind(self, node: int, without: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Sources that reach a node with no protector between, and the protectors that stand between it and a source."""
        seen, todo = {node}, [node]
        sources: dict[str, None] = {}
        edges: list[tuple[str, int]] = []
        links = self.network.links
        while todo:
            at = todo.pop()
            if at in self.positives:
                sources[self.positives[at]] = None
            for i, other in self.ways[at]:
                link = links[i]
                if link.element == without:
                    continue
                if link.gate is Gate.PROTECTOR:
                    edges.append((link.element, other))
                elif other not in seen:
                    seen.add(other)
                    todo.append(other)
        # a protector that leads to nothing but what this zone feeds itself protects the wire from nothing
        protectors = {element: None for element, far in edges if far not in seen and self._sourced(far, seen)}
        return tuple(sources), tuple(protectors)

    def _sourced(self, start: int, zone: set[int]) -> bool:
        """Whether a source can feed a node by a way that keeps out of a zone."""
        # an answer holds for another zone too: a yes for one that does not touch what was walked, a no for one that blocks all that blocked this walk
        for walked in self.reached.get(start, ()):
            if zone.isdisjoint(walked):
                return True
        for blocked in self.barred.get(start, ()):
            if blocked <= zone:
                return False
        seen, todo, touched = {start}, [start], set()
        while todo:
            at = todo.pop()
            if at in self.positives:
                self.reached.setdefault(start, []).append(seen)
                return True
            for _, other in self.ways[at]:
                if other in zone:
                    touched.add(other)
                elif other not in seen:
                    seen.add(other)
                    todo.append(other)
        self.barred.setdefault(start, []).append(touched)
        return False


def exempt_wires(design: Design, network: Network, answer: StateAnswer) -> frozenset[str]:
    """Wires that customarily have no protector: the starter's main circuit, and a battery post to a contactor's main contact."""
    starters = [f"parts/{n}" for n in design.of_kind(p.Load) if design.parts[n].type == "starter"]
    found = set()
    if any(answer.healthy.powered[s] for s in starters):
        cranked = [answer.failed.powered[s] for s in starters if answer.healthy.powered[s]]
        for i, failure in enumerate(answer.failures):
            if failure.mode == OPEN and failure.element.startswith("wires/") and any(not works >> i & 1 for works in cranked):
                found.add(failure.element)
    posts = {s.positive for s in network.sources if s.kind == "battery"}
    contacts = {n for link in network.links if link.gate in (Gate.ENERGISED, Gate.AT_REST) for n in (link.a, link.b)}
    contacts = {n for n in contacts if isinstance(design.parts[network.names[n].partition(".")[0]], p.Contactor)}
    for name, wire in design.wires.items():
        ends = {network.node(wire.from_), network.node(wire.to)}
        if ends & posts and ends & contacts:
            found.add(f"wires/{name}")
    return frozenset(found)


def _unprotected_distance(design: Design, network: Network, walk: _Walk, exempt: frozenset[str]) -> dict[int, float]:
    """Metres of unprotected wire from the nearest source post, bus bar or exempt cable's end; a wire without length blocks the way."""
    start = {s.positive for s in network.sources}
    start |= {n for name in design.of_kind(p.Bus) for n in network.nodes_of[f"parts/{name}"]}
    start |= {n for element in exempt for n in network.nodes_of[element]}
    start |= _alternator_leads(design, network, walk)
    distance: dict[int, float] = {}
    queue = [(0.0, n) for n in start]
    while queue:
        so_far, node = heapq.heappop(queue)
        if node in distance:
            continue
        distance[node] = so_far
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if other in distance or link.gate in (Gate.PROTECTOR, Gate.SHIELD) or not walk.along[i] or (link.oneway and not leaving):
                continue
            wire = design.wires.get(bare(link.element)) if link.element.startswith("wires/") else None
            if wire is None:
                heapq.heappush(queue, (so_far, other))
            elif wire.length is not None:
                heapq.heappush(queue, (so_far + wire.length, other))
    return distance


def _alternator_leads(design: Design, network: Network, walk: _Walk) -> set[int]:
    """Nodes that only alternators feed without a protector, by wires that may carry the alternator's rating: the lead limits itself."""
    found: set[int] = set()
    for source in network.sources:
        alternator = design.parts[bare(source.element)]
        if not isinstance(alternator, p.Alternator) or alternator.rating is None or not walk.live[source.positive]:
            continue
        seen, todo = {source.positive}, [source.positive]
        while todo:
            for i, other, _ in network.around[todo.pop()]:
                link = network.links[i]
                wire = design.wires[bare(link.element)] if link.element.startswith("wires/") else None
                if other in seen or link.gate is not Gate.ALWAYS or link.oneway or (wire and not carries_rating(wire, alternator)):
                    continue
                if all(isinstance(design.parts[bare(s)], p.Alternator) for s in walk.behind(other, "")[0]):
                    seen.add(other)
                    todo.append(other)
        found |= seen
    return found


def carries_rating(wire: p.Wire, alternator: p.Alternator) -> bool:
    """Whether a wire may carry all that an alternator gives; False where gauge or rating is missing or outside the table."""
    if wire.gauge is None or alternator.rating is None:
        return False
    try:
        return protector_limit(wire.gauge, "breaker") >= alternator.rating
    except OutsideTable:
        return False


def feeds_in_states(design: Design, network: Network, answers: tuple[StateAnswer, ...]) -> dict[str, tuple[EndFeed, ...]]:
    """:func:`wire_feeds` over several states; what is the same in a later state is not repeated."""
    found: dict[str, dict[tuple, EndFeed]] = {}
    for answer in answers:
        for element, feeds in wire_feeds(design, network, answer).items():
            for feed in feeds:
                found.setdefault(element, {}).setdefault((feed.end, feed.sources, feed.protectors), feed)
    return {element: tuple(feeds.values()) for element, feeds in found.items()}
