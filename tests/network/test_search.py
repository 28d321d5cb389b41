"""Searches, against those of networkx on random graphs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from random import Random

import networkx as nx
import pytest

from reviewer.network.graph import Gate, Link
from reviewer.network.network_build import build_network
from reviewer.network.search import (
    CheapestPaths,
    ShortestPaths,
    conductors,
    reachable,
    reachable_by,
    reachable_together,
    shortest,
)
from reviewer.reading import read_text
from tests.analysis.small_aircraft import small


@pytest.fixture(params=range(8))
def graph(request: pytest.FixtureRequest) -> nx.DiGraph:
    chance = Random(request.param)
    made = nx.gnp_random_graph(40, 0.06, seed=request.param, directed=True)
    for a, b in made.edges:
        made[a][b]["cost"] = chance.choice([0.0, 0.5, 1.0, chance.random()])
    return made


def test_cheapest_paths_cost_what_networkx_says_and_their_steps_add_up(graph: nx.DiGraph) -> None:
    starts = [0, 7]
    found = CheapestPaths(starts, lambda n: ((m, graph[n][m]["cost"], (n, m)) for m in graph[n]))
    expected = nx.multi_source_dijkstra_path_length(graph, set(starts), weight="cost")
    assert found.cost == pytest.approx(expected) and all(n in found for n in expected)
    for goal in expected:
        steps = found.steps(goal)
        assert sum(graph[a][b]["cost"] for a, b in steps) == pytest.approx(found.cost[goal])
        assert not steps or (steps[0][0] in starts and steps[-1][1] == goal)
        assert all(one[1] == other[0] for one, other in pairwise(steps))


def test_the_shortest_path_is_as_long_as_that_of_networkx(graph: nx.DiGraph) -> None:
    def onward(node: int) -> Iterator[tuple[int, tuple[int, int]]]:
        return ((m, (node, m)) for m in graph[node])

    tree = ShortestPaths(0, onward)
    lengths = nx.single_source_shortest_path_length(graph, 0)
    for goal in graph:
        found = shortest(0, {goal}, onward)
        assert (found is None) == (goal not in lengths) == (tree.path(goal) is None)
        if found is not None:
            assert len(found[1]) == lengths[goal] and tree.path(goal) == found[1]


def test_what_is_reachable_is_what_networkx_reaches(graph: nx.DiGraph) -> None:
    assert reachable_by([3], graph.__getitem__) == nx.descendants(graph, 3) | {3}


def test_conductors_stop_at_contacts_breakers_and_diodes() -> None:
    network = build_network(small().design)
    near = {network.names[n] for n in reachable(network, [network.node("main-bus")], conductors)}
    assert {"master.load", "heater-breaker.line", "charge-diode.anode"} <= near
    assert near.isdisjoint({"master.line", "heater-breaker.load", "charge-diode.cathode"})
    assert all(link.gate is not Gate.SHIELD for link in network.links)


SELECTOR = """
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  selector: {kind: switch, positions: {left: [[common, one]], right: [[common, other]]}}
  breaker: {kind: breaker, rating: 5 A}
  one-bus: {kind: bus}
  other-bus: {kind: bus}
wires:
  W1: {from: battery.positive, to: one-bus.battery}
  W2: {from: one-bus.selector, to: selector.one}
  W3: {from: selector.other, to: other-bus.selector}
  W4: {from: one-bus.breaker, to: breaker.line}
operation: {normal: cruise, states: {cruise: {switches: {selector: left}}}}
"""


def test_what_is_reached_at_once_passes_what_conducts_and_not_two_throws_of_one_switch() -> None:
    network = build_network(read_text(SELECTOR, "bench.yaml"))
    start = [network.node("one-bus")]

    def contacts(link: Link, leaving: bool) -> bool:
        return conductors(link, leaving) or link.gate is Gate.SWITCH

    one_by_one = {network.names[n] for n in reachable(network, start, contacts)}
    together = {network.names[n] for n in reachable_together(network, start, contacts)}
    assert {"selector.one", "selector.common", "breaker.line"} <= together
    assert one_by_one - together == {"selector.other", "other-bus", "other-bus.selector"}
    assert "breaker.load" not in one_by_one | together
