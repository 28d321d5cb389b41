"""Two-point resistance, against the resistance distance of networkx and a bridge by hand."""

from __future__ import annotations

from random import Random

import networkx as nx
import pytest

from reviewer.analysis.solver.two_point_resistance import (
    JoinedNodes,
    two_point_resistance,
    volts_per_ampere,
)


def test_a_balanced_bridge_and_its_ideal_joints() -> None:
    """Four arms of 2 ohm and a bridge that carries nothing: 2 ohm across.

    A joint of nothing adds nothing; what is not joined has no resistance.
    """
    arms = [(0, 1, 2.0), (0, 2, 2.0), (1, 3, 2.0), (2, 3, 2.0), (1, 2, 7.0), (3, 4, 0.0), (8, 9, 1.0)]
    assert [two_point_resistance(arms, 0, node) for node in (3, 4)] == pytest.approx([2.0, 2.0])
    assert (
        two_point_resistance(arms, 0, 0),
        two_point_resistance(arms, 0, 8),
        two_point_resistance([], 5, 6),
    ) == (0.0, None, None)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_the_resistance_distance(seed: int) -> None:
    chance = Random(seed)
    graph = nx.connected_watts_strogatz_graph(25, 4, 0.4, seed=seed)
    edges = [(a, b, chance.uniform(0.001, 3.0)) for a, b in graph.edges]
    for a, b, ohms in edges:
        graph[a][b]["ohms"] = ohms
    for node in chance.sample(range(25), 6):
        found = two_point_resistance(edges, 7, node)
        assert found == pytest.approx(
            nx.resistance_distance(graph, 7, node, weight="ohms", invert_weight=True)
        )


@pytest.mark.parametrize("seed", range(6))
def test_dead_ends_change_nothing_but_between_their_own_nodes(seed: int) -> None:
    """Trees of leads that hang on a ring, as grounds do: between any two nodes, in one tree too."""
    chance = Random(seed)
    graph = nx.cycle_graph(4 if seed else 1)
    for node in range(len(graph), 22):
        graph.add_edge(node, chance.randrange(node))
    edges = [(a, b, chance.uniform(0.001, 3.0)) for a, b in graph.edges if a != b]
    for a, b, ohms in edges:
        graph[a][b]["ohms"] = ohms
    graph.remove_edges_from(nx.selfloop_edges(graph))
    joined = JoinedNodes(edges)
    for one, other in (chance.sample(range(22), 2) for _ in range(10)):
        assert joined.ohms(one, other) == pytest.approx(
            nx.resistance_distance(graph, one, other, weight="ohms", invert_weight=True)
        )
    assert joined.ohms(3, 99) is None


@pytest.mark.parametrize("seed", range(4))
def test_currents_balance_at_every_node(seed: int) -> None:
    """Kirchhoff: what flows in flows out, but for the ampere at the two ends.

    A node on one resistor stands where that begins.
    """
    chance = Random(seed)
    graph = nx.connected_watts_strogatz_graph(25, 4, 0.4, seed=seed)
    edges = [*((a, b, chance.uniform(0.001, 3.0)) for a, b in graph.edges), (3, 30, 1.0), (40, 41, 1.0)]
    volts = volts_per_ampere(edges, 7, 12)
    assert set(volts) == {*range(25), 30} and volts[7] == 0.0 and volts[30] == pytest.approx(volts[3])
    out = dict.fromkeys(volts, 0.0)
    for a, b, ohms in edges[:-1]:
        out[a] += (volts[a] - volts[b]) / ohms
        out[b] -= (volts[a] - volts[b]) / ohms
    assert out.pop(7) == pytest.approx(1.0) and out.pop(12) == pytest.approx(-1.0)
    assert list(out.values()) == pytest.approx([0.0] * len(out), abs=1e-9)
