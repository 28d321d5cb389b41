"""Edges of a graph that are in series: two of them are where each is a bridge once the other is gone.

Such pairs are an equivalence. An edge is covered by the edges outside of a spanning forest that close a
circuit over it: a bridge by none, and two edges are in series where the same ones cover both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

#: the class of the edges that close no circuit
BRIDGE = -1


class SeriesClasses:
    """``of`` gives for each edge the number of its class; :data:`BRIDGE` for a bridge, or an edge from a
    node to itself."""

    def __init__(self, count: int, edges: Sequence[tuple[int, int]]):
        """A graph of ``count`` nodes; ``edges`` are pairs of them."""
        self._parent, self._edge, self._depth = [-1] * count, [-1] * count, [0] * count
        covered = [0] * len(edges)
        order = self._forest(count, edges)
        tree, closing = set(self._edge), [0] * count
        outside = (i for i, (a, b) in enumerate(edges) if i not in tree and a != b)
        for bit, i in enumerate(outside):
            covered[i] = 1 << bit
            for node in edges[i]:
                closing[node] ^= 1 << bit
        for node in reversed(order):
            if (edge := self._edge[node]) >= 0:
                covered[edge] = closing[node]
                closing[self._parent[node]] ^= closing[node]
        numbers: dict[int, int] = {0: BRIDGE}
        self.of: Sequence[int] = [numbers.setdefault(by, len(numbers)) for by in covered]

    def _forest(self, count: int, edges: Sequence[tuple[int, int]]) -> list[int]:
        """The nodes in the order in which a breadth-first search finds them."""
        around: list[list[tuple[int, int]]] = [[] for _ in range(count)]
        for i, (a, b) in enumerate(edges):
            if a != b:
                around[a].append((b, i))
                around[b].append((a, i))
        order: list[int] = []
        seen = [False] * count
        for root in range(count):
            if seen[root]:
                continue
            seen[root] = True
            todo = [root]
            for node in todo:
                for other, i in around[node]:
                    if not seen[other]:
                        seen[other] = True
                        self._parent[other], self._edge[other] = node, i
                        self._depth[other] = self._depth[node] + 1
                        todo.append(other)
            order += todo
        return order

    def between(self, one: int, other: int) -> Iterator[int]:
        """The edges on the way in the forest from one node to another. Where other bridges open, or
        all of a class of which none is among them, the two nodes stay joined as they are."""
        while one != other:
            if self._depth[one] < self._depth[other]:
                one, other = other, one
            if self._parent[one] < 0:  # two pieces of the graph
                return
            yield self._edge[one]
            one = self._parent[one]
