"""The shortest paths from one node in many lanes at once."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence

from reviewer.network.graph import Network


class LanePaths:
    """The shortest paths from ``start`` to all nodes, in each of some ``lanes`` (a mask).

    ``along`` and ``against`` are the lanes in which each link conducts from a to b and from b to a,
    ``shut`` those in which each node is not entered. In each lane the path is the one that
    :func:`reviewer.network.search.shortest` finds there: a node stands in the queue once for all
    lanes that reach it at the same place, and the queue of one lane is what is left of it when the
    others are crossed out.
    """

    def __init__(
        self,
        network: Network,
        start: int,
        lanes: int,
        along: Sequence[int],
        against: Sequence[int],
        shut: Sequence[int],
    ):
        self.network = network
        #: for each node: (when it was reached, in which lanes, by which link, True from its a end)
        self._came: dict[int, list[tuple[int, int, int, bool]]] = {start: [(0, lanes, -1, True)]}
        rest: dict[int, int] = {start: 0}
        todo, count = deque([(start, lanes)]), 0
        while todo:
            node, mask = todo.popleft()
            for i, other, leaving in network.around[node]:
                new = mask & (along[i] if leaving else against[i])
                if not new:
                    continue
                left = rest.get(other)
                if left is None:
                    left = lanes & ~shut[other]
                new &= left
                if new:
                    rest[other] = left ^ new
                    count += 1
                    self._came.setdefault(other, []).append((count, new, i, leaving))
                    todo.append((other, new))

    def routes(self, goals: Mapping[int, int]) -> Iterator[tuple[int, list[int]]]:
        """(lanes, links): the shortest path to the nearest of some nodes, each of them a goal in its
        lanes of ``goals``. Lanes in which no goal is reached are left out; a path may come twice."""
        ends = sorted((*entry, node) for node in goals for entry in self._came.get(node, ()))
        done = 0
        for _, mask, link, leaving, node in ends:
            lanes = mask & goals[node] & ~done
            if lanes:
                done |= lanes
                yield from self._back(lanes, link, leaving)

    def _back(self, lanes: int, link: int, leaving: bool) -> Iterator[tuple[int, list[int]]]:
        """The paths that come by a link in some lanes."""
        todo: list[tuple[int, int, bool, list[int]]] = [(lanes, link, leaving, [])]
        while todo:
            lanes, link, leaving, after = todo.pop()
            if link < 0:
                yield lanes, after
                continue
            way = self.network.links[link]
            for _, mask, i, from_a in self._came[way.a if leaving else way.b]:
                if lanes & mask:
                    todo.append((lanes & mask, i, from_a, [link, *after]))
