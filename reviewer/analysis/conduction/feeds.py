"""How the ends of wires are fed: by which sources unprotected, and through which circuit
protection.

Each end of each wire in each state is a lane in which the wire is taken away and the end is shorted
to ground. The fault zone is what reaches the short unprotected; the protectors that carry current
into the zone are those that protect the wire from that end.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TypeVar

from reviewer.analysis.conduction.fixed_point import Conduction, link_masks
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.propagation import Propagator, zone_of
from reviewer.analysis.conduction.scenarios import lanes_of_states, mask_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.network.graph import Network, Source

#: (sources without protection between, protectors that carry current to the end), as elements
Feeding = tuple[tuple[str, ...], tuple[str, ...]]
#: protector that carries current to an end -> the sources that it comes from, as elements
Interrupted = Mapping[str, tuple[str, ...]]
_OfLane = TypeVar("_OfLane")


def feeding_of(
    network: Network, answers: Sequence[StateAnswer], ends: Sequence[tuple[int, str]]
) -> list[list[Feeding]]:
    """For each state and each (node, element): the sources that reach the node unprotected, and its
    protectors, with the element taken away.

    A protector is listed only where a source outside the fault zone feeds it. A node that nothing
    feeds in a state has neither.
    """
    if not ends or not answers:
        return [[] for _ in answers]
    return _ShortedEnds(network, answers, ends).feeding()


def interrupted_of(
    network: Network, answers: Sequence[StateAnswer], ends: Sequence[tuple[int, str]]
) -> list[list[Interrupted]]:
    """For each state and each (node, element): its protectors, each with the sources whose current to
    the node it carries, with the element taken away."""
    if not ends or not answers:
        return [[] for _ in answers]
    return _ShortedEnds(network, answers, ends).interrupted()


class _ShortedEnds:
    """Lane ``s * len(ends) + e``: state s, the element of end e taken away, its node shorted."""

    def __init__(self, network: Network, answers: Sequence[StateAnswer], ends: Sequence[tuple[int, str]]):
        self.network, self.answers, self.ends = network, answers, ends
        self.count = len(ends)
        self.width = len(answers) * self.count
        self._block = (1 << self.count) - 1
        self._every_state = mask_of((s * self.count for s in range(len(answers))), self.width)
        self._known: dict[int, int] = {}

    def feeding(self) -> list[list[Feeding]]:
        """The feeding of each end, by state."""
        along, against = self._link_masks()
        zone = self._zone(along, against)
        sources = self._sources_inside(zone)
        fed = self._fed_outside(zone, along, against, self.network.sources)
        protectors = self._protectors_around(zone, along, fed)
        return self._by_end([(tuple(s), tuple(p)) for s, p in zip(sources, protectors, strict=True)])

    def interrupted(self) -> list[list[Interrupted]]:
        """The sources behind each protector of each end, by state."""
        along, against = self._link_masks()
        zone = self._zone(along, against)
        found: list[dict[str, tuple[str, ...]]] = [{} for _ in range(self.width)]
        for source in self.network.sources:
            fed = self._fed_outside(zone, along, against, [source])
            for protectors, around in zip(found, self._protectors_around(zone, along, fed), strict=True):
                protectors.update({p: (*protectors.get(p, ()), source.element) for p in around})
        return self._by_end(found)

    def _by_end(self, lanes: Sequence[_OfLane]) -> list[list[_OfLane]]:
        """What each lane has, by state and end."""
        return [list(lanes[start : start + self.count]) for start in range(0, self.width, self.count)]

    def _lanes_of_states(self, states: int) -> int:
        """The lanes of some states, given as a mask over the states."""
        if states not in self._known:
            self._known[states] = sum(self._block << s * self.count for s in bits(states))
        return self._known[states]

    def _lanes_of_ends(self, ends: Iterable[int]) -> int:
        """The lanes of some ends, in every state."""
        return join(self._every_state << end for end in ends)

    def _by_state(self, masks: Iterable[int]) -> int:
        """The lanes of the states in which a bit is set, given the bit of each state."""
        return self._lanes_of_states(sum(bit << s for s, bit in enumerate(masks)))

    def _link_masks(self) -> tuple[list[int], list[int]]:
        """The lanes in which each link conducts from a to b and from b to a."""
        lanes = lanes_of_states(self.network, [a.state for a in self.answers])
        energised = {
            moved: sum(a.healthy.energised[moved] << s for s, a in enumerate(self.answers))
            for moved in self.network.moved
        }
        along, against = (
            [self._lanes_of_states(mask) for mask in masks] for masks in link_masks(lanes, energised)
        )
        ends_of: dict[str, list[int]] = {}
        for e, (_, element) in enumerate(self.ends):
            ends_of.setdefault(element, []).append(e)
        for element, ends in ends_of.items():
            for i in self.network.parting(element):
                kept = ~self._lanes_of_ends(ends)
                along[i] &= kept
                against[i] &= kept
        return along, against

    def _zone(self, along: Sequence[int], against: Sequence[int]) -> list[int]:
        """For each node, the lanes in which it is in the fault zone."""
        ends_at: dict[int, list[int]] = {}
        for e, (node, _) in enumerate(self.ends):
            ends_at.setdefault(node, []).append(e)
        live: dict[int, int] = {}
        for s, answer in enumerate(self.answers):
            for node in answer.live:
                live[node] = live.get(node, 0) | 1 << s
        shorted = {
            node: self._lanes_of_ends(ends) & self._lanes_of_states(live[node])
            for node, ends in ends_at.items()
            if node in live
        }
        zone = [0] * len(self.network.names)
        never = [False] * len(self.network.links)
        every = (1 << self.width) - 1
        found = zone_of(self.network, shorted, along, against, self.network.protectors, every, (never, never))
        for node, mask in found.items():
            zone[node] = mask
        return zone

    def _alive(self, source: str) -> int:
        return self._by_state(a.healthy.alive[source] for a in self.answers)

    def _sources_inside(self, zone: Sequence[int]) -> list[list[str]]:
        """For each lane, the live sources whose positive is in the fault zone."""
        found: list[list[str]] = [[] for _ in range(self.width)]
        for source in self.network.sources:
            for lane in bits(self._alive(source.element) & zone[source.positive]):
                found[lane].append(source.element)
        return found

    def _fed_outside(
        self, zone: Sequence[int], along: Sequence[int], against: Sequence[int], sources: Iterable[Source]
    ) -> list[int]:
        """For each node at a protector on the edge of a zone, the lanes in which some sources feed it."""
        propagator = Propagator(self.network.contracted, along, against, zone)
        links = self.network.links
        near = {
            n
            for i in self.network.protectors
            for n in (links[i].a, links[i].b)
            if zone[links[i].a] | zone[links[i].b]
        }
        fed = [0] * len(self.network.names)
        for source in sources:
            start = self._alive(source.element) & ~zone[source.positive]
            reach = propagator.from_node(source.positive, start)
            for node in near:
                fed[node] |= reach[node]
        return fed

    def _protectors_around(
        self, zone: Sequence[int], along: Sequence[int], fed: Sequence[int]
    ) -> list[list[str]]:
        """For each lane, the protectors that carry current into the fault zone."""
        found: list[list[str]] = [[] for _ in range(self.width)]
        for i in sorted(self.network.protectors):
            a, b = self.network.links[i].a, self.network.links[i].b
            into = along[i] & (zone[a] & ~zone[b] & fed[b] | zone[b] & ~zone[a] & fed[a])
            for lane in bits(into):
                found[lane].append(self.network.links[i].element)
        return found


def kept_by_another(network: Network, solved: Conduction, node: int) -> int:
    """The lanes in which a live battery is joined to the output of an alternator that does not feed
    a node: the half of a split system that keeps its battery while the other has none."""
    lanes = 0
    for source in network.sources:
        if source.kind == "alternator":
            for battery in (s.element for s in network.sources if s.kind == "battery"):
                joined = solved.fed[battery][source.positive] & solved.alive[battery]
                lanes |= joined & ~solved.fed[source.element][node]
    return lanes
