"""Edges are in series where each is a bridge once the other is gone, as networkx finds bridges."""

from __future__ import annotations

import random

import networkx as nx

from reviewer.network.cut_pairs import BRIDGE, SeriesClasses


def bridges(count: int, edges: list[tuple[int, int]], without: set[int]) -> set[int]:
    """The numbers of the edges that are bridges once some are gone: each is drawn through a node of its own, so that none is beside another."""
    graph = nx.Graph()
    graph.add_nodes_from(range(count))
    for i, (a, b) in enumerate(edges):
        if i not in without:
            graph.add_edges_from([(a, ("edge", i)), (("edge", i), b)])
    split = {node[1] for ends in nx.bridges(graph) for node in ends if isinstance(node, tuple)}
    return split | {i for i, (a, b) in enumerate(edges) if a == b and i not in without}


def test_classes_are_those_of_bridges_that_remain() -> None:
    pick, several = random.Random(7), 0
    for _ in range(60):
        count = pick.randint(2, 9)
        edges = [(pick.randrange(count), pick.randrange(count)) for _ in range(pick.randint(1, 12))]
        of = SeriesClasses(count, edges).of
        always = bridges(count, edges, set())
        assert {i for i, one in enumerate(of) if one == BRIDGE} == always
        for i in set(range(len(edges))) - always:
            series = bridges(count, edges, {i}) - always
            assert {j for j, one in enumerate(of) if one == of[i]} == series | {i}
            several += bool(series)
    assert several > 50
