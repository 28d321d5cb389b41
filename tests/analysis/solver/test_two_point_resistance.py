"""The resistance between two nodes, against the resistance distance of networkx on random networks and a bridge worked by hand."""

from __future__ import annotations

from random import Random

import networkx as nx
import numpy as np
import pytest

from reviewer.analysis.solver.two_point_resistance import two_point_resistance, unit_current_voltages


def test_a_balanced_bridge_and_its_ideal_joints() -> None:
    """Four arms of 2 ohm and a bridge that carries nothing: 2 ohm across; a joint of nothing adds nothing; what is not joined has no resistance."""
    arms = [(0, 1, 2.0), (0, 2, 2.0), (1, 3, 2.0), (2, 3, 2.0), (1, 2, 7.0), (3, 4, 0.0), (8, 9, 1.0)]
    assert [two_point_resistance(arms, 0, node) for node in (3, 4)] == pytest.approx([2.0, 2.0])
    assert (two_point_resistance(arms, 0, 0), two_point_resistance(arms, 0, 8), two_point_resistance([], 5, 6)) == (0.0, None, None)


@pytest.mark.parametrize("seed", range(12))
def test_it_is_the_resistance_distance(seed: int) -> None:
    chance = Random(seed)
    graph = nx.connected_watts_strogatz_graph(25, 4, 0.4, seed=seed)
    edges = [(a, b, chance.uniform(0.001, 3.0)) for a, b in graph.edges]
    for a, b, ohms in edges:
        graph[a][b]["ohms"] = ohms
    for node in chance.sample(range(25), 6):
        found = two_point_resistance(edges, 7, node)
        assert found == pytest.approx(nx.resistance_distance(graph, 7, node, weight="ohms", invert_weight=True))


@pytest.mark.parametrize("seed", range(12))
def test_a_current_makes_the_voltages_of_a_dense_solution(seed: int) -> None:
    """Against the conductance matrix solved by numpy: one ampere in at the start, out at the goal."""
    chance = Random(seed)
    graph = nx.connected_watts_strogatz_graph(20, 4, 0.4, seed=seed)
    edges = [(a, b, chance.uniform(0.001, 3.0)) for a, b in graph.edges] + [(19, 20, 0.5)]  # 20 hangs on 19 alone
    matrix = np.zeros((21, 21))
    for a, b, ohms in edges:
        matrix[[a, b], [a, b]] += 1 / ohms
        matrix[[a, b], [b, a]] -= 1 / ohms
    start, goal = chance.sample(range(20), 2)
    kept = [n for n in range(21) if n != start]
    drive = np.array([-1.0 if n == goal else 0.0 for n in kept])
    dense = dict(zip(kept, np.linalg.solve(matrix[np.ix_(kept, kept)], drive), strict=True)) | {start: 0.0}
    found = unit_current_voltages([*edges, (30, 31, 1.0)], start, goal)
    assert found == {n: pytest.approx(volts, abs=1e-9) for n, volts in dense.items()}  # 30 and 31 are not joined
    assert found[goal] == pytest.approx(-(two_point_resistance(edges, start, goal) or 0))


def test_what_is_not_joined_has_no_voltages() -> None:
    assert unit_current_voltages([(0, 1, 1.0), (2, 3, 1.0)], 0, 2) == unit_current_voltages([(0, 1, 1.0)], 0, 0) == {}


def test_an_ideal_joint_beside_a_long_wire_costs_no_digits() -> None:
    """A ring of an ideal joint and 1 ohm, with 0.25 ohm before it: all but a billionth flows through the joint."""
    found = unit_current_voltages([(0, 1, 0.25), (1, 2, 0.0), (1, 2, 1.0)], 0, 2)
    assert (found[1], found[2]) == (pytest.approx(-0.25, rel=1e-12), pytest.approx(-0.25, abs=2e-9))
