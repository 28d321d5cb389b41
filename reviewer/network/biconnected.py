"""Blocks of a network: which links can lie on a path between some nodes.

A link lies on some simple path between two nodes exactly if its block lies between them in the tree
of blocks and cut nodes (a theorem of graph theory; Hopcroft and Tarjan 1973 give the algorithm).
Direction and switch positions are left out, so the answer holds for every state.
"""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.network.graph import Network


def blocks(network: Network) -> list[list[int]]:
    """The biconnected components of a network, each as its link indexes."""
    order: dict[int, int] = {}
    low: dict[int, int] = {}
    found: list[list[int]] = []
    for root in range(len(network.names)):
        if root in order:
            continue
        order[root] = low[root] = len(order)
        edges: list[int] = []
        stack = [(root, -1, iter(network.around[root]))]
        while stack:
            node, came, links = stack[-1]
            for i, other, _ in links:
                if i == came or other == node:
                    continue
                if other not in order:
                    order[other] = low[other] = len(order)
                    edges.append(i)
                    stack.append((other, i, iter(network.around[other])))
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
                        at = edges.index(came)
                        found.append(edges[at:])
                        del edges[at:]
    return found


class BlockTree:
    """The tree of blocks and cut nodes of a network.

    ``between`` gives the links that can lie on paths among some nodes, ``blocks_between`` their
    blocks.
    """

    def __init__(self, network: Network):
        self.blocks = blocks(network)
        self.nodes = [
            {n for i in block for n in (network.links[i].a, network.links[i].b)} for block in self.blocks
        ]
        self.of_node: dict[int, list[int]] = {}
        for b, nodes in enumerate(self.nodes):
            for n in nodes:
                self.of_node.setdefault(n, []).append(b)
        #: cut node -> in how many blocks it is
        self.shared = {n: len(bs) for n, bs in self.of_node.items() if len(bs) > 1}

    def between(self, ends: Iterable[int]) -> frozenset[int]:
        """Indexes of the links that lie on a simple path between any two of some nodes."""
        return frozenset(i for block in self.blocks_between(ends) for i in block)

    def blocks_between(self, ends: Iterable[int]) -> list[list[int]]:
        """The blocks whose links lie on a simple path between any two of some nodes."""
        ends = set(ends)
        # leaves of the tree without an end of their own are cut off until none is left: a block
        # stays while two of its nodes are ends or cut nodes
        left = dict(self.shared)
        count = [sum(1 for n in nodes if n in ends or n in left) for nodes in self.nodes]
        alive = [True] * len(self.blocks)
        todo = [b for b, many in enumerate(count) if many < 2]
        while todo:
            b = todo.pop()
            if not alive[b]:
                continue
            alive[b] = False
            for n in self.nodes[b]:
                if n not in left:
                    continue
                left[n] -= 1
                if left[n] == 1 and n not in ends:
                    other = next((o for o in self.of_node[n] if alive[o]), None)
                    if other is not None:
                        count[other] -= 1
                        if count[other] < 2:
                            todo.append(other)
        return [self.blocks[b] for b, stays in enumerate(alive) if stays]
