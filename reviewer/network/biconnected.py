"""Blocks of a network: which links can lie on a path between some nodes.

A link lies on some simple path between two nodes exactly if its block lies between them in the tree
of blocks and cut nodes (a theorem of graph theory; Hopcroft and Tarjan 1973 give the algorithm).
Direction is left out, and so are switch positions where no ``closed`` links are given, so that the answer
holds for every state then.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from reviewer.network.graph import Network


def blocks(network: Network) -> list[list[int]]:
    """The biconnected components of a network, each as its link indexes."""
    return [links for _, links in blocks_from(network)]


def blocks_from(
    network: Network, roots: Iterable[int] | None = None, closed: Sequence[bool] | None = None
) -> list[tuple[int, list[int]]]:
    """The blocks, each with its node nearest to the node from which its part was searched, after those
    that hang on it; of the parts that hold some ``roots``, or of all; of the links that are ``closed``,
    or of all."""
    order: dict[int, int] = {}
    low: dict[int, int] = {}
    found: list[tuple[int, list[int]]] = []
    for root in range(len(network.around)) if roots is None else roots:
        around = network.around[root]
        if root in order or not around:
            continue
        order[root] = low[root] = len(order)
        edges: list[int] = []
        stack = [(root, -1, 0, iter(around))]
        while stack:
            node, came, at, links = stack[-1]
            for i, other, _ in links:
                if i == came or other == node or not (closed is None or closed[i]):
                    continue
                if other not in order:
                    order[other] = low[other] = len(order)
                    stack.append((other, i, len(edges), iter(network.around[other])))
                    edges.append(i)
                    break
                if order[other] < order[node]:
                    edges.append(i)
                    low[node] = min(low[node], order[other])
            else:
                stack.pop()
                if stack:
                    parent = stack[-1][0]
                    low[parent] = min(low[parent], low[node])
                    if low[node] >= order[parent]:
                        found.append((parent, edges[at:]))
                        del edges[at:]
    return found


class BlockTree:
    """The tree of blocks and cut nodes of a network, or of the parts of it that hold some ``roots``; of all
    links, or of those that are ``closed``.

    ``between`` gives the links that can lie on paths among some nodes, ``blocks_between`` their
    blocks.
    """

    def __init__(
        self,
        network: Network,
        roots: Iterable[int] | None = None,
        closed: Sequence[bool] | None = None,
    ):
        found = blocks_from(network, roots, closed)
        self.blocks = [links for _, links in found]
        #: block -> its node nearest to the root; node -> the block above it, none above a root
        self._top = [top for top, _ in found]
        self._above: dict[int, int] = {}
        for b, (top, links) in enumerate(found):
            for i in links:
                for node in (network.links[i].a, network.links[i].b):
                    if node != top:
                        self._above[node] = b
        #: node -> the root of its part; a node without one is a root
        self._root: dict[int, int] = {}
        for top, links in reversed(found):  # a block is found after all that hang on it
            root = self._root.get(top, top)
            for i in links:
                self._root[network.links[i].a] = self._root[network.links[i].b] = root
        self._between: dict[frozenset[int], frozenset[int]] = {}
        self._numbers: dict[frozenset[int], frozenset[int]] = {}

    @cached_property
    def block_of(self) -> Mapping[int, int]:
        """The number in ``blocks`` of the block of each link; a link from a node to itself has none."""
        return {i: number for number, links in enumerate(self.blocks) for i in links}

    def between(self, ends: Iterable[int]) -> frozenset[int]:
        """Indexes of the links that lie on a simple path between any two of some nodes."""
        asked = frozenset(ends)
        if asked not in self._between:
            self._between[asked] = frozenset(i for b in self.numbers_between(asked) for i in self.blocks[b])
        return self._between[asked]

    def blocks_between(self, ends: Iterable[int]) -> list[list[int]]:
        """The blocks whose links lie on a simple path between any two of some nodes."""
        return [self.blocks[b] for b in sorted(self.numbers_between(ends))]

    def numbers_between(self, ends: Iterable[int]) -> frozenset[int]:
        """The numbers of :meth:`blocks_between` in ``blocks``."""
        asked = frozenset(ends)
        if asked not in self._numbers:
            self._numbers[asked] = frozenset(self._searched(asked))
        return self._numbers[asked]

    def _searched(self, ends: Iterable[int]) -> set[int]:
        kept: set[int] = set()
        above, none = self._above, len(self.blocks)
        # the tree that joins ends of one part: the ways from each of them to the first
        first: dict[int, int] = {}
        for end in sorted(ends):
            one, other = first.setdefault(self._root.get(end, end), end), end
            while one != other:
                # the one with the lower block goes up: blocks have higher numbers than what hangs on them
                here, there = above.get(one, none), above.get(other, none)
                if here <= there:
                    kept.add(here)
                    one = self._top[here]
                if there <= here:
                    kept.add(there)
                    other = self._top[there]
        return kept
