"""Operating points over the states of charge of the batteries."""

from __future__ import annotations

from math import inf

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.charge_sweep import Surface, alarm_readings, alive, surface, sweep
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


def shown(facts: Facts, state: str, *charges: float) -> list[float]:
    """What a voltmeter at the reserve battery reads with all batteries at some states of charge."""
    answer = facts.states.answer(state)
    scenario = scenario_of(facts.design, facts.network, answer.state, answer.healthy)
    rows = [dict.fromkeys(alive(facts.network, scenario), charge) for charge in charges]
    only = {"reserve-volts": facts.points.wiring.meters["reserve-volts"]}
    return list(alarm_readings(facts.points, scenario, rows, only)["reserve-volts"])


def with_minimum(minimum: str, *edits: tuple[str, str]) -> Facts:
    """The bench whose voltmeter needs so much, its main battery with as much charge as the reserve."""
    return bench(("    current: 0.5 A\n", f"    current: 0.5 A\n    minimum: {minimum}\n"), *edits)


def test_a_voltmeter_goes_dark_as_the_batteries_run_down_to_its_minimum() -> None:
    """Lead-acid at rest: 12.6 V full and 12.0 V at half (common practice, no source); a unit that needs 12.2 V shows the one only."""
    full, half = shown(with_minimum("12.2 V"), "stopped", 1.0, 0.5)
    assert 12.5 < full < 12.7 and half == inf
    on = shown(with_minimum("11 V"), "stopped", 1.0, 0.5)
    assert on[0] == pytest.approx(full) and 11.9 < on[1] < 12.3
    assert shown(bench(), "stopped", 0.5) == pytest.approx(on[1:], abs=1e-3)
    # with its bus dead it shows nothing, whatever the reserve has
    assert shown(with_minimum("11 V"), "smoke-drill", 1.0, 0.5) == [inf, inf]


@pytest.mark.parametrize(("minimum", "blank"), [("12.2 V", True), ("11 V", False)])
def test_a_reading_is_blank_where_its_display_has_less_than_its_minimum(minimum: str, blank: bool) -> None:
    half = ("capacity: 17 Ah}", "capacity: 17 Ah, state-of-charge: 50 %}")
    reserve = ("capacity: 7 Ah}", "capacity: 7 Ah, state-of-charge: 50 %}")
    facts = with_minimum(minimum, half, reserve)
    assert facts.points.operating_point("cruise").readings["reserve-volts"].blank is False
    found = facts.points.operating_point("stopped").readings["reserve-volts"]
    assert found.blank is blank
    # at the very charge the sweep has the same
    (swept,) = shown(facts, "stopped", 0.5)
    assert swept == (inf if blank else pytest.approx(found.value))
    # a monitor that no unit shows is read wherever it is
    assert facts.points.operating_point("smoke-drill").readings["main-volts"].blank is False
    assert facts.points.operating_point("smoke-drill").readings["reserve-volts"].blank is True


def test_the_field_of_an_alternator_that_nothing_turns_is_a_draw_on_the_batteries() -> None:
    """3 A at 14 V are 2.6 A at some 12.3 V; with the alternator running its field is its own affair."""
    facts = bench(("rating: 60 A, set-point", "rating: 60 A, field-current: 3 A, set-point"))
    answer = facts.states.answer("cruise")
    lost = (Failure("parts/alternator", OPEN),)
    field_too = (*lost, Failure("parts/field-breaker", OPEN))
    healthy = scenario_of(facts.design, facts.network, answer.state, answer.healthy)
    failed = scenario_of(facts.design, facts.network, answer.state, answer.healthy, case=lost)
    opened = scenario_of(facts.design, facts.network, answer.state, answer.healthy, case=field_too)
    cases = {"running": (healthy, 0.0), "lost": (failed, 3 * 12.3 / 14), "field open too": (opened, 0.0)}
    for name, (scenario, amps) in cases.items():
        rows = [[1.0] * len(alive(facts.network, scenario))]
        taken = sweep(facts.design, facts.network, scenario, {}, ("parts/left-ignition",), rows).taken
        assert taken.get("parts/alternator", [0.0]) == [pytest.approx(amps, rel=0.03)], name
