"""Links that lie between nodes, against all simple paths as networkx enumerates them."""

from __future__ import annotations

import itertools
import random
from types import SimpleNamespace

import networkx as nx

from reviewer.network.biconnected import BlockTree, blocks


def net(nodes: int, edges: list[tuple[int, int]]) -> SimpleNamespace:
    around: list[list[tuple[int, int, bool]]] = [[] for _ in range(nodes)]
    for i, (a, b) in enumerate(edges):
        around[a].append((i, b, True))
        around[b].append((i, a, False))
    return SimpleNamespace(
        names=list(range(nodes)), links=[SimpleNamespace(a=a, b=b) for a, b in edges], around=around
    )


def test_links_between_nodes_are_those_of_all_simple_paths() -> None:
    draw = random.Random(20)
    for _ in range(800):
        count = draw.randint(2, 9)
        edges = [
            (a, b)
            for a, b in ((draw.randrange(count), draw.randrange(count)) for _ in range(draw.randint(1, 13)))
            if a != b
        ]
        closed = None if draw.random() < 0.5 else [draw.random() < 0.8 for _ in edges]
        graph = nx.MultiGraph()
        graph.add_nodes_from(range(count))
        for i, (a, b) in enumerate(edges):
            if closed is None or closed[i]:
                graph.add_edge(a, b, key=i)
        ends = draw.sample(range(count), min(count, draw.randint(2, 3)))
        wanted = {
            key
            for s, t in itertools.combinations(ends, 2)
            for path in nx.all_simple_edge_paths(graph, s, t)
            for _, _, key in path
        }
        tree = BlockTree(net(count, edges), closed=closed)
        assert tree.between(ends) == wanted, (edges, ends)
        numbers = tree.numbers_between(ends)
        assert {i for i in range(len(edges)) if tree.block_of.get(i) in numbers} == wanted


def test_blocks_are_the_biconnected_components() -> None:
    draw = random.Random(21)
    for _ in range(300):
        count = draw.randint(2, 12)
        edges = list({tuple(sorted(draw.sample(range(count), 2))) for _ in range(draw.randint(1, 20))})
        wanted = {
            frozenset(map(frozenset, block)) for block in nx.biconnected_component_edges(nx.Graph(edges))
        }
        assert {
            frozenset(frozenset(edges[i]) for i in block) for block in blocks(net(count, edges))
        } == wanted
