"""Nodes eliminated in order of their neighbours, against dense systems of equations."""

from __future__ import annotations

from fractions import Fraction
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures, Scenario, solve_points
from reviewer.analysis.solver import linear
from reviewer.analysis.solver.circuit import BatteryBranch, ConstantPowerBranch, NodalCircuit, Resistor
from reviewer.analysis.solver.elimination import EliminationPlan, RowGroups
from reviewer.analysis.solver.islands import islands
from reviewer.analysis.solver.linear import DenseLinear, EliminatedLinear
from reviewer.analysis.solver.network_core import core_of
from reviewer.analysis.solver.nonlinear import solve
from tests.analysis.operating_point.dressed import dress
from tests.analysis.solver.test_newton import aircraft, drawn, scenarios, solved
from tests.oracle.generator import realistic


@given(st.lists(st.integers(0, 6), min_size=1, max_size=30), st.sampled_from([1, 3, 20, 120]))
def test_rows_that_belong_together_are_added_and_compared(goals: list[int], points: int) -> None:
    rows = np.arange(len(goals) * points, dtype=float).reshape(len(goals), points) ** 2
    groups, to = RowGroups(np.array(goals)), np.ones((7, points))
    groups.add(to, rows)
    for goal in range(7):
        mine = [row for row, own in zip(rows, goals, strict=True) if own == goal]
        assert to[goal] == pytest.approx(1.0 + np.sum(mine, axis=0) if mine else 1.0)
    greatest = groups.reduced(np.maximum, rows)
    assert greatest.tolist() == [
        np.max([row for row, own in zip(rows, goals, strict=True) if own == goal], axis=0).tolist()
        for goal in sorted(set(goals))
    ]


def network(chance: Random, count: int) -> list[tuple[int, int]]:
    """Links between ``count`` nodes and one more that stays: stars of buses, rings, and some twice."""
    links = [(n, chance.choice([count, *range(max(0, n - 9), n)])) for n in range(count)]
    hub = chance.randrange(count)
    links += [(n, hub) for n in range(count) if n != hub and chance.random() < 0.3]
    links += [tuple(chance.sample(range(count + 1), 2)) for _ in range(count // 3)]  # type: ignore[misc]
    return links + chance.choices(links, k=3)


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=80)
def test_volts_are_those_of_the_dense_system_at_every_point(seed: int) -> None:
    chance, points = Random(seed), 4
    count = chance.randint(1, 60)
    links = network(chance, count)
    siemens = np.exp(np.random.default_rng(seed).uniform(-5, 5, (len(links), points)))
    amps = np.random.default_rng(seed + 1).normal(size=(count + 1, points))
    plan = EliminationPlan(count, links)
    slots = np.zeros((plan.slots, points))
    np.add.at(slots, plan.slot_of, siemens)
    first = plan.factored(slots[:, :1].copy())
    found = plan.factored(slots).volts(amps.copy())
    assert (found[-1] == 0).all()
    # one point by itself is taken node by node at the end, and serves the currents of many
    assert first.volts(amps[:, :1].copy()) == pytest.approx(found[:, :1], rel=1e-9, abs=1e-12)
    others = first.volts(np.concatenate([amps[:, :1], 3 * amps[:, :1]], axis=1))
    assert others == pytest.approx(found[:, :1] * [1, 3], rel=1e-9, abs=1e-12)
    assert first.steady().all() and first.steady().shape == (1,)
    for point in range(points):
        matrix = np.zeros((count + 1, count + 1))
        for (a, b), s in zip(links, siemens[:, point], strict=True):
            matrix[a, a] += s
            matrix[b, b] += s
            matrix[a, b] -= s
            matrix[b, a] -= s
        wanted = np.linalg.solve(matrix[:-1, :-1], amps[:-1, point])
        assert found[:-1, point] == pytest.approx(wanted, rel=1e-9, abs=1e-9 * abs(wanted).max())


def test_every_node_goes_once_and_those_with_few_neighbours_first() -> None:
    """A bus with ten leaves and a feed: leaves and feed go in one step, and no mesh is made of the bus's star."""
    plan = EliminationPlan(12, [(0, 12), *((leaf, 0) for leaf in range(1, 11)), (11, 0), (11, 12)])
    assert sorted(plan.order.tolist()) == list(range(13)) and plan.order[-1] == 12
    assert plan.order[plan.steps[0].nodes].tolist() == list(range(1, 12))
    assert max(len(step.far) for step in plan.steps) <= 2


def test_a_small_conductance_beside_large_ones_keeps_its_digits() -> None:
    """A hundred millionth of a siemens to the reference behind a chain of ten thousand siemens each: what a blocked diode leaves.
    Solved by fractions: a plain factorisation keeps four digits of it."""
    count, large, small = 6, 1e4, 1e-8
    plan = EliminationPlan(count, [*((n, n + 1) for n in range(count - 1)), (count - 1, count)])
    siemens = np.zeros((plan.slots, 1))
    siemens[plan.slot_of, 0] = [large] * (count - 1) + [small]
    amps = np.zeros((count + 1, 1))
    amps[0] = 1e-7
    found = plan.factored(siemens).volts(amps)
    end = Fraction(1e-7) / Fraction(small)
    for node in range(count):
        wanted = end + (count - 1 - node) * Fraction(1e-7) / Fraction(large)
        assert float(found[node, 0]) == pytest.approx(float(wanted), rel=1e-15)


def both(circuit: NodalCircuit, rho: list[float]) -> tuple[DenseLinear, EliminatedLinear]:
    core = core_of(circuit, islands(circuit), rho, 20.0)
    return DenseLinear(core), EliminatedLinear(core)


def test_a_step_is_that_of_the_matrix_even_where_a_node_has_nothing_left() -> None:
    """The slope of a load of constant power takes away at its node just what the wire gives: the point itself is sound."""
    resistors = (Resistor(1, 2, 0.25), Resistor(1, 3, 0.5))
    devices = (
        BatteryBranch("battery", 1, 0, 12.0, 0.1, 0.1),
        ConstantPowerBranch("radio", 2, 0, 100.0, 1.0, 30.0),
        ConstantPowerBranch("pump", 3, 0, 50.0, 1.0, 30.0),
    )
    dense, eliminated = both(NodalCircuit(4, resistors, devices, (0,)), [0.1, 2.0, 3.0])
    assert eliminated.across(np.eye(3)) == pytest.approx(dense.matrix, rel=1e-12)
    leak = linear.LEAK_SIEMENS
    volts_slope = np.array([[0.5, 0.5], [1.0, 1.0], [1.0, 1.0]])
    amps_slope = np.array([[5.0, 5.0], [-(4.0 + leak), -1.0], [-0.5, -0.5]])
    right = np.array([[0.3, 0.1], [-0.2, 0.7], [0.9, -0.4]])
    step = eliminated.newton_step(volts_slope, amps_slope, right)
    assert np.isfinite(step).all()
    assert step == pytest.approx(dense.newton_step(volts_slope, amps_slope, right), rel=1e-9)


def test_a_device_with_both_ends_at_one_node_is_left_alone() -> None:
    devices = (
        BatteryBranch("battery", 1, 0, 12.0, 0.1, 0.1),
        BatteryBranch("dead", 1, 2, 6.0, 0.1, 0.1),
    )
    circuit = NodalCircuit(3, (Resistor(1, 2, 0.0), Resistor(2, 0, 1.0)), devices, (0,))
    dense, eliminated = both(circuit, [0.1, 0.2])
    sources = np.array([[12.0], [3.0]])
    assert eliminated.across(sources) == pytest.approx(dense.across(sources), abs=1e-12)
    assert eliminated.across(sources)[0, 0] == pytest.approx(12.0 / 1.1) and dense.across(sources)[1, 0] == 0


@pytest.mark.parametrize(
    "name",
    [
        "bench",
        *(pytest.param(f"realistic {n}", marks=pytest.mark.long) for n in (1, 4)),
        *(f"awkward {n}" for n in range(25, 37)),
    ],
)
def test_points_are_those_that_dense_systems_give(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Few points and many, healthy and failed, loads from nothing to more than any source gives."""
    facts, chance, compared = aircraft(name), Random(f"both {name}"), 0
    for scenario in scenarios(facts, chance, 3):
        for figures, points in ((Figures(), 1), (drawn(facts, chance, 6), 6)):
            monkeypatch.setattr(linear, "MANY_DEVICES", 150)
            one = solved(facts, scenario, figures, points)
            monkeypatch.setattr(linear, "MANY_DEVICES", 0)
            other = solved(facts, scenario, figures, points)
            if one is None or other is None or not one.built.circuit.devices:
                continue
            assert not one.unsolved and not other.unsolved
            assert {type(p.linear) for _, p in other.parts} == {EliminatedLinear}
            for terminal in facts.network.names:
                assert other.volts(terminal) == pytest.approx(one.volts(terminal), abs=1e-5, nan_ok=True)
            compared += points
    assert compared >= 14 or name.startswith("awkward")


def test_an_aircraft_of_many_devices_is_solved_without_the_matrix() -> None:
    facts = Facts(realistic(600, 3, dress(3)))
    assert facts.design.operation
    answer = facts.states.answer(facts.design.operation.normal)
    points = solve_points(facts.design, facts.network, Scenario(answer.state, answer.healthy))
    _, solution = points.parts[0]
    assert isinstance(solution.linear, EliminatedLinear) and not points.unsolved
    assert len(solution.islands.devices) >= linear.MANY_DEVICES and "matrix" not in vars(solution.linear)


def test_many_points_of_a_small_circuit_are_found_as_one_is() -> None:
    loads = np.linspace(0.0, 400.0, 300)
    devices = (
        BatteryBranch("battery", 1, 0, 12.0, 0.1, 0.1),
        ConstantPowerBranch("radio", 2, 0, loads, 9.0, 30.0),
    )
    circuit = NodalCircuit(3, (Resistor(1, 2, 0.05),), devices, (0,))
    many = solve(circuit, points=300)
    assert isinstance(many.linear, EliminatedLinear) and not many.lost
    for point in range(0, 300, 37):
        one = solve(circuit, {1: {"watts": loads[point]}})
        assert isinstance(one.linear, DenseLinear)
        assert many.volts(2)[point] == pytest.approx(one.volts(2)[0], abs=1e-9)
