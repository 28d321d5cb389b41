"""Operating points over the states of charge of the batteries."""

from __future__ import annotations

import pytest

from reviewer.analysis.operating_point.charge_sweep import Surface, alive, surface, sweep
from reviewer.analysis.operating_point.solved_state import scenario_of
from tests.analysis.operating_point.bench import bench


def test_a_surface_between_its_knots_is_near_what_is_solved_there() -> None:
    facts = bench()
    answer = facts.states.answer("stopped")
    scenario = scenario_of(facts.design, facts.network, answer.state, answer.healthy)
    loads = ("parts/left-ignition", "parts/right-ignition")
    found = surface(facts.design, facts.network, scenario, {}, loads, True)
    assert isinstance(found, Surface) and found.sweep.batteries == alive(facts.network, scenario)
    there = (0.83, 0.61)
    corners = found.corners(there)
    assert sum(weight for _, weight in corners) == pytest.approx(1)
    exact = sweep(facts.design, facts.network, scenario, {}, loads, [there])
    for battery in found.sweep.batteries:
        assert sum(found.sweep.volts[battery][i] * w for i, w in corners) == pytest.approx(
            exact.volts[battery][0], abs=0.02
        )
    for load in loads:
        assert sum(found.sweep.spare[load][i] * w for i, w in corners) == pytest.approx(
            exact.spare[load][0], abs=0.02
        )
