"""What cranks, and what the starter takes at the worst moment of a start."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.cold_batteries import cold_basis, cold_factors, cold_range
from reviewer.analysis.operating_point.cranking import cranks
from tests.analysis.wiring.wired import wired

MOTOR = "cranking-motor: {kind: load, type: starter, current: 160 A, peak: 350 A,"
TAKES = "cranking-motor: {kind: load, type: starter, current: 150 A,"
BATTERY = (
    "main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah, internal-resistance: 0.007 ohm"
)


def moment(facts: Facts) -> tuple[float, float]:
    """Amperes and volts of the starter at the worst moment of the start."""
    (cranked,) = facts.switches.cranked
    return cranked.point.taken["parts/cranking-motor"], cranked.point.across["parts/cranking-motor"]


def test_the_state_that_cranks_and_its_starter() -> None:
    facts = wired()
    assert [name for name, state in facts.states.declared.items() if cranks(state)] == [
        f.state for f in facts.wires.while_cranking
    ]
    assert facts.design.starters == ("cranking-motor",)
    assert (cold_range().low, cold_range().high) == (1.5, 2.0)  # common practice, no source


def test_a_starter_that_stands_takes_its_peak_at_twelve_volts() -> None:
    amps, volts = moment(wired((MOTOR, f"{TAKES} peak: 300 A,")))
    assert amps / volts == pytest.approx(300 / 12)
    assert volts < 12 and amps < 300  # the battery gives way


def test_a_peak_measured_in_the_aircraft_is_stated_with_its_volts() -> None:
    twelve = moment(wired((MOTOR, f"{TAKES} peak: 300 A,")))
    nine = moment(wired((MOTOR, f"{TAKES} peak: 300 A, peak-voltage: 9 V,")))
    assert nine[0] / nine[1] == pytest.approx(300 / 9)
    assert nine[0] > twelve[0] and nine[1] < twelve[1]


@pytest.mark.parametrize("peak", [151, 160, 200, 400])
def test_the_worst_moment_takes_no_less_than_cranking(peak: int) -> None:
    """With a peak little above the running current the resistance alone would take less at the volts that are left."""
    facts = wired((MOTOR, f"{TAKES} peak: {peak} A,"))
    flown = facts.wires.while_cranking[0]
    cranking = facts.points.point(flown)
    amps, volts = moment(facts)
    assert amps >= cranking.taken["parts/cranking-motor"] - 1e-6
    assert volts <= cranking.across["parts/cranking-motor"] + 1e-6
    assert amps == pytest.approx(max(150, peak / 12 * volts))


def test_a_declared_cold_resistance_stands_for_the_factor_of_practice() -> None:
    edit = (MOTOR, f"{TAKES} peak: 300 A,")
    same = wired(edit, (BATTERY, f"{BATTERY}, cold-resistance: 0.0105 ohm"))
    assert cold_factors(same.design, 1.5)["parts/main-battery"] == pytest.approx(1.5)
    cold = wired(edit, (BATTERY, f"{BATTERY}, cold-resistance: 0.0175 ohm"))
    assert cold_factors(cold.design, 1.5)["parts/main-battery"] == pytest.approx(2.5)
    assert ("cold resistance of main-battery", "0.0175 ohm") in tuple(cold_basis(cold.design, 1.5))
    assert moment(cold)[1] < moment(same)[1] - 0.5
    (cranked,) = cold.switches.cranked
    post = cranked.point.volts["main-battery.positive"] - cranked.point.volts["main-battery.negative"]
    assert post == pytest.approx(12.6 - 0.0175 * cranked.point.given["parts/main-battery"], abs=0.01)


def test_a_declared_open_circuit_voltage_lifts_the_chart_of_the_chemistry() -> None:
    edit = (MOTOR, f"{TAKES} peak: 300 A,")
    lifted = wired(edit, (BATTERY, f"{BATTERY}, open-circuit-voltage: 12.9 V"))
    assert moment(lifted)[1] > moment(wired(edit))[1] + 0.15
