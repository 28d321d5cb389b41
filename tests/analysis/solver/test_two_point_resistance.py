"""The resistance between two nodes, against the resistance distance of networkx on random networks and a bridge worked by hand."""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest

from reviewer.analysis.solver.two_point_resistance import effective_ohms


def test_a_balanced_bridge_and_its_ideal_joints() -> None:
    """Four arms of 2 ohm and a bridge that carries nothing: 2 ohm across; a joint of nothing adds nothing; what is not joined has no resistance."""
    arms = [(0, 1, 2.0), (0, 2, 2.0), (1, 3, 2.0), (2, 3, 2.0), (1, 2, 7.0), (3, 4, 0.0), (8, 9, 1.0)]
    assert [effective_ohms(arms, 0, node) for node in (3, 4)] == pytest.approx([2.0, 2.0])
    assert (effective_ohms(arms, 0, 0), effective_ohms(arms, 0, 8), effective_ohms([], 5, 6)) == (0.0, None, None)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_the_resistance_distance(seed: int) -> None:
    chance = Random(seed)
    graph = nx.connected_watts_strogatz_graph(25, 4, 0.4, seed=seed)
    edges = [(a, b, chance.uniform(0.001, 3.0)) for a, b in graph.edges]
    for a, b, ohms in edges:
        graph[a][b]["ohms"] = ohms
    for node in chance.sample(range(25), 6):
        found = effective_ohms(edges, 7, node)
        assert found == pytest.approx(nx.resistance_distance(graph, 7, node, weight="ohms", invert_weight=True))
