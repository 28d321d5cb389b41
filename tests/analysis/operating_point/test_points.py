"""Many points at once: each is what it is alone, each is proved, and what differs between them acts as it should."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from random import Random

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.points import Figures, Points
from reviewer.analysis.solver.circuit import BatteryBranch, NodalCircuit, Resistor
from reviewer.analysis.solver.nonlinear import BALANCE_A, solve
from tests.analysis.operating_point.bench import bench
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import realistic

POINTS = 200


def drawn(facts: Facts, points: int) -> Figures:
    chance = np.random.default_rng(7)
    loads = {c.element: chance.uniform(0, 4, points) for c in facts.network.consumers}
    batteries = [s.element for s in facts.network.sources if s.kind == "battery"]
    return Figures(
        loads,
        {b: chance.uniform(0, 0.99, points) for b in batteries},
        {b: chance.uniform(1, 2, points) for b in batteries},
        {s.element: chance.uniform(13.8, 14.6, points) for s in facts.network.sources if s.kind == "alternator"},
        chance.uniform(0, 1, points),
        chance.choice([-20.0, 15.0, 45.0], points),
    )


def only(figures: Figures, point: int) -> Figures:
    """The figures of one point."""
    one = [{k: float(v[point]) for k, v in m.items()} for m in (figures.loads, figures.state_of_charge, figures.ageing, figures.set_point)]
    return Figures(*one, float(figures.speed[point]), float(figures.temperature[point]))


@pytest.mark.parametrize("seed", range(6))
def test_each_point_of_many_is_what_it_is_alone(seed: int) -> None:
    facts = Facts(realistic(90, seed, dress(seed)))
    figures = drawn(facts, POINTS)
    for state in list(facts.states.declared)[:3]:
        many = facts.points.operating_points(state, figures, POINTS)
        assert not many.unsolved and many.balance.max() <= BALANCE_A
        for point in Random(seed).sample(range(POINTS), 4):
            alone = facts.points.operating_points(state, only(figures, point), 1)
            assert not alone.unsolved
            for name in facts.network.names:
                assert many.volts(name)[point] == pytest.approx(alone.volts(name)[0], abs=1e-6, nan_ok=True), (state, point, name)


def test_points_cannot_be_changed() -> None:
    points = bench().points.operating_points("cruise", Figures(), 2)
    for array in (points.volts("main-bus"), points.amps("parts/alternator"), points.balance):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0.0


def amps(points: Points, name: str) -> list[float]:
    return [float(a) for a in points.amps(f"parts/{name}")]


def test_charge_ageing_set_point_and_speed_act_on_their_source() -> None:
    facts = bench()
    low = facts.points.operating_points("stopped", Figures(state_of_charge={"parts/main-battery": np.array([1.0, 0.5, 0.0])}), 3).volts("main-battery.positive")
    # 12.6, 12.2 and 11.6 V at rest (secondary, see the tests of the published figures), less the drop of a few amperes
    assert [round(float(v), 1) for v in low] == [12.6, 12.2, 11.6]
    old = facts.points.operating_points("stopped", Figures(ageing={"parts/main-battery": np.array([1.0, 2.0])}), 2).volts("main-battery.positive")
    assert (12.6 - old[1]) == pytest.approx(2 * (12.6 - old[0]), rel=0.01)
    set_ = facts.points.operating_points("cruise", Figures(set_point={"parts/alternator": np.array([13.8, 14.4])}), 2).volts("alternator.output")
    assert set_[1] - set_[0] == pytest.approx(0.6, abs=0.01)
    heavy = Figures(loads={"parts/left-ignition": 30.0}, speed=np.array([0.0, 0.5, 1.0]))
    facts = bench(("rating: 60 A, set-point", "rating: 40 A, idle-output: 10 A, set-point"))
    assert amps(facts.points.operating_points("cruise", heavy, 3), "alternator")[:2] == pytest.approx([10, 25], abs=1e-6)


def test_a_charge_without_a_published_voltage_is_refused() -> None:
    with pytest.raises(NotAssessable, match="rest voltage"):
        bench().points.operating_points("stopped", Figures(state_of_charge={"parts/main-battery": np.array([0.5, 1.2])}), 2)


def test_warm_wires_drop_more_by_the_rule_of_254_5() -> None:
    """AC 43.13-1B 11-66d(4)."""
    points = bench().points.operating_points("stopped", Figures(temperature=np.array([20.0, 100.0])), 2)
    drop = (points.volts("left-switch.load") - points.volts("left-ignition.supply")) / points.amps("wires/W22")
    assert drop[1] / drop[0] == pytest.approx(334.5 / 254.5, rel=1e-6)


def test_loads_follow_the_voltage_by_their_type() -> None:
    """14 V and 12 V, as with and without the alternator: a heater as a resistance, electronics holding the power, a motor the current."""
    laws = {"heater": lambda v: 4 * v / 14, "electronic": lambda v: 56 / v, "motor": lambda v: 4.0, "lamp": lambda v: 4 * (0.45 + 0.55 * v / 14)}
    for kind, law in laws.items():
        old = "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse"
        facts = bench((old, f"type: {kind}, current: 4 A, minimum: 8 V, peak: 20 A}}\n  right-fuse"))
        for state in ("cruise", "stopped"):
            point = facts.points.operating_point(state)
            volts = point.across["parts/left-ignition"]
            assert point.taken["parts/left-ignition"] == pytest.approx(law(volts), rel=1e-5), (kind, state)


def test_a_flat_battery_lets_its_loads_fall_off_instead_of_finding_nothing() -> None:
    facts = bench(
        (
            "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse",
            "type: electronic, current: 200 A, minimum: 8 V}\n  right-fuse",
        )
    )
    point = facts.points.operating_point("stopped")
    assert 0 < point.across["parts/left-ignition"] < 8
    assert point.balance <= BALANCE_A


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_linear_networks_superpose_and_are_reciprocal(seed: int) -> None:
    chance = Random(seed)
    count = chance.randint(3, 12)
    resistors = [Resistor(n, chance.randrange(n), chance.uniform(0.001, 50)) for n in range(1, count)]
    resistors += [Resistor(*chance.sample(range(count), 2), chance.uniform(0.001, 50)) for _ in range(chance.randint(0, 12))]
    one, other = chance.sample(range(1, count), 2)

    def volts(first: float, second: float) -> tuple[float, float, list[float]]:
        sources = (BatteryBranch("one", one, 0, first, 0.5, 0.5), BatteryBranch("other", other, 0, second, 0.7, 0.7))
        found = solve(NodalCircuit(count, tuple(resistors), sources, (0,)))
        assert not found.lost
        return found.device_amps(0)[0], found.device_amps(1)[0], [found.volts(n)[0] for n in range(count)]

    here, there, both = volts(10, 0), volts(0, 10), volts(10, 10)
    assert both[2] == pytest.approx([a + b for a, b in zip(here[2], there[2], strict=True)], abs=1e-7)
    # ten volts in one branch drive in the other the current that ten volts there drive in the first
    assert here[1] == pytest.approx(there[0], abs=1e-6, rel=1e-6)


def test_an_island_without_a_source_is_dead_and_not_a_number() -> None:
    found = solve(NodalCircuit(4, (Resistor(2, 3, 1.0),), (BatteryBranch("b", 1, 0, 12.0, 0.1, 0.1),), (0,)))
    assert found.volts(1)[0] == pytest.approx(12.0) and np.isnan(found.volts(2)[0]) and found.resistor_amps(0)[0] == 0


@pytest.mark.skipif(
    not Path("/proc/self/task").exists() or (os.cpu_count() or 1) < 2, reason="needs a list of a process's threads, and two processors"
)
def test_a_point_is_solved_in_one_thread_and_the_environment_stays() -> None:
    code = """
import os
from pathlib import Path
from reviewer.analysis.facts import Facts
from reviewer.reading import read_design
before = dict(os.environ)
facts = Facts(read_design(Path("examples/tourer.design.yaml")))
facts.points.point(facts.points.flown[0])
print(len(list(Path("/proc/self/task").iterdir())), before == dict(os.environ))
"""
    environment = {k: v for k, v in os.environ.items() if not k.endswith("_NUM_THREADS")}
    root = Path(__file__).parents[3]
    done = subprocess.run([sys.executable, "-c", code], cwd=root, env=environment, capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["1", "True"]


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=80)
def test_what_an_ideal_joint_carries_is_what_a_tiny_resistance_in_its_place_would(seed: int) -> None:
    """Where joints make a ring how they share is left open; which joints those are, networkx says (a bridge is an edge in no ring)."""
    chance = Random(seed)
    count = chance.randint(4, 14)
    pairs = [(n, chance.randrange(n)) for n in range(1, count)] + [tuple(chance.sample(range(count), 2)) for _ in range(chance.randint(0, 6))]
    ohms = [0.0 if chance.random() < 0.5 else chance.uniform(0.1, 5) for _ in pairs]
    sources = tuple(BatteryBranch(f"b{i}", *chance.sample(range(count), 2), chance.uniform(5, 15), 0.3, 0.3) for i in range(2))  # type: ignore[misc]
    resistors = tuple(Resistor(a, b, r) if chance.random() < 0.5 else Resistor(b, a, r) for (a, b), r in zip(pairs, ohms, strict=True))
    ideal = solve(NodalCircuit(count, resistors, sources))
    near = solve(NodalCircuit(count, tuple(Resistor(r.a, r.b, r.ohms or 1e-7) for r in resistors), sources))
    joints = nx.MultiGraph([(r.a, r.b) for r in resistors if r.ohms == 0])
    bridges = {frozenset(pair) for pair in nx.bridges(nx.Graph(joints))} if len(joints) else set()
    for i, r in enumerate(resistors):
        if r.ohms == 0:
            if frozenset((r.a, r.b)) in bridges and joints.number_of_edges(r.a, r.b) == 1:
                assert ideal.resistor_amps(i)[0] == pytest.approx(near.resistor_amps(i)[0], abs=2e-3, rel=2e-3)
            else:
                assert np.isnan(ideal.resistor_amps(i)[0])
