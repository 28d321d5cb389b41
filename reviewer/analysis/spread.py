"""Spreading: the lanes in which current that enters at some nodes reaches each node of a network."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reviewer.network.graph import Network
from reviewer.network.trunk import Trunk


class Reached(Sequence[int]):
    """For each node, the lanes in which it is reached; nodes off the trunk are worked out on first asking. Nobody can change it."""

    __slots__ = ("_against", "_along", "_blocked", "_known", "_trunk")

    def __init__(self, trunk: Trunk, known: list[int | None], along: Sequence[int], against: Sequence[int], blocked: Sequence[int]):
        self._trunk, self._known, self._along, self._against, self._blocked = trunk, known, along, against, blocked

    def __len__(self) -> int:
        return len(self._known)

    def __iter__(self) -> Iterator[int]:
        return (self[n] for n in range(len(self._known)))

    def __getitem__(self, node):
        known = self._known[node]
        if known is None:
            known = self._known[node] = self._off_trunk(node)
        return known

    def _off_trunk(self, node: int) -> int:
        hung = self._trunk.hung.get(node)
        if hung:
            i, leaving, parent = hung
            return self[parent] & (self._along if leaving else self._against)[i] & ~self._blocked[node]
        place = self._trunk.inside.get(node)
        if place is None:
            return 0
        chain = self._trunk.chains[place[0]]
        from_a = self._known[chain.a] or 0
        for (i, leaving), inner in zip(chain.steps[: place[1] + 1], chain.inner, strict=False):
            from_a &= (self._along if leaving else self._against)[i] & ~self._blocked[inner]
        from_b = self._known[chain.b] or 0
        for (i, leaving), inner in zip(chain.steps[: place[1] : -1], chain.inner[place[1] :][::-1], strict=True):
            from_b &= (self._against if leaving else self._along)[i] & ~self._blocked[inner]
        return from_a | from_b


class Spreader:
    """Spreads along links that conduct ``along`` from a to b and ``against`` from b to a. ``blocked`` are lanes in which a node is not entered."""

    def __init__(self, trunk: Trunk, along: Sequence[int], against: Sequence[int], blocked: Sequence[int], anything_blocked: bool):
        self.trunk, self.along, self.against, self.blocked = trunk, along, against, blocked
        self.empty = [0 if n in trunk.kept else None for n in range(len(blocked))]
        self.out: list[int] = []
        self.back: list[int] = []
        for chain in trunk.chains:
            out = back = -1
            for i, leaving in chain.steps:
                out &= along[i] if leaving else against[i]
                back &= against[i] if leaving else along[i]
            if anything_blocked:
                for node in chain.inner:
                    out &= ~blocked[node]
                    back &= ~blocked[node]
            self.out.append(out)
            self.back.append(back)
        #: for each trunk node, the (other node, lanes) pairs that conduct in any lane
        self.ways = [[(other, mask) for c, other, leaving in ways if (mask := self.out[c] if leaving else self.back[c])] for ways in trunk.around]

    def from_node(self, start: int, mask: int) -> Reached:
        """Where current that enters at one trunk node in some lanes gets to."""
        reach: list[Any] = list(self.empty)
        if mask:
            reach[start] = mask
            todo = deque([start])
            fresh = {start: mask}
            blocked, ways = self.blocked, self.ways
            while todo:
                node = todo.popleft()
                mask = fresh.pop(node)
                for other, conducts in ways[node]:
                    new = mask & conducts
                    if new:
                        new &= ~(reach[other] | blocked[other])
                        if new:
                            reach[other] |= new
                            if other in fresh:
                                fresh[other] |= new
                            else:
                                fresh[other] = new
                                todo.append(other)
        return Reached(self.trunk, reach, self.along, self.against, self.blocked)


def zone_of(
    network: Network,
    grounded: Mapping[int, int],
    along: Sequence[int],
    against: Sequence[int],
    protectors: frozenset[int],
) -> list[int]:
    """For each node, the lanes in which current could flow from it into a grounded node without passing one of some protectors."""
    zone = [0] * len(network.names)
    fresh = dict(grounded)
    todo = deque(fresh)
    for node, mask in fresh.items():
        zone[node] = mask
    while todo:
        node = todo.popleft()
        mask = fresh.pop(node)
        for i, other, leaving in network.around[node]:
            # against the current: from the other end into this one
            new = mask & (against[i] if leaving else along[i]) & ~zone[other]
            if new and i not in protectors:
                zone[other] |= new
                if other in fresh:
                    fresh[other] |= new
                else:
                    fresh[other] = new
                    todo.append(other)
    return zone
