"""Open-circuit voltages and Peukert's law against printed values.

Open-circuit voltage: a rule of thumb of a mailing list (12.6, 12.4, 12.2, 12.0, 11.6 V) and a chart for four lithium iron phosphate cells; both
secondary (sources.toml names both), and charts of lithium differ by a tenth of the charge. Peukert: the worked value at electrotechnik.net, t = Cp / I^k: 100 Ah, k = 1.2,
5 A give 14.5 h. The hour-rate form gives 20 h for the same numbers where 5 A is the 20-hour rate: that is its definition.
"""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.ratings.peukert import hours_at_rate
from reviewer.analysis.ratings.supply import seconds_on_allowance
from reviewer.tables.batteries import open_circuit_voltage, state_of_charge_at
from reviewer.tables.lookup import OutsideTable, table
from tests.published.transcriptions import PRINTED

POINTS = [
    (chemistry, float(percent) / 100, volts[0])
    for chemistry, section in (
        ("lead-acid", "lead_acid"),
        ("lithium-iron-phosphate", "lithium_iron_phosphate"),
    )
    for percent, volts in PRINTED[f"battery_open_circuit_voltage/{section}"].items()
]


@pytest.mark.parametrize(("chemistry", "charge", "volts"), POINTS)
def test_the_printed_points_are_given_both_ways(chemistry: str, charge: float, volts: float) -> None:
    assert open_circuit_voltage(chemistry, charge).value == pytest.approx(volts)
    assert open_circuit_voltage(chemistry, charge, "28 V").value == pytest.approx(2 * volts)
    if charge < 0.99:
        assert state_of_charge_at(chemistry, volts).value == pytest.approx(charge)


@pytest.mark.parametrize(
    ("chemistry", "charge"), [("lead-acid", -0.01), ("lead-acid", 1.01), ("nickel-cadmium", 0.5)]
)
def test_no_voltage_outside_the_lists(chemistry: str, charge: float) -> None:
    with pytest.raises(OutsideTable):
        open_circuit_voltage(chemistry, charge)


def test_peukert_at_an_hour_rate() -> None:
    assert hours_at_rate(100, 20, 5, 1.2) == pytest.approx(20)


def test_the_hour_rate_form_is_the_printed_law() -> None:
    """T = C (C/R)^(n-1) / I^n is t = Cp / I^n with Cp = C (C/R)^(n-1): printed, Cp = 100 Ah, k = 1.2 and 5 A give 14.5 h."""
    rated = (100 * 20**0.2) ** (1 / 1.2)  # the rated capacity at 20 h whose Cp is 100
    assert hours_at_rate(rated, 20, 5, 1.2) == pytest.approx(14.5, abs=0.05)
    for amperes in (0.5, 5, 10, 40):
        assert hours_at_rate(rated, 20, amperes, 1.2) == pytest.approx(100 / amperes**1.2)


def test_the_printed_load_analysis_of_an_installation_manual() -> None:
    """Emergency power example, p. 3-38: 35 Ah, 0.75 usable, 5 min at 43.5 A until shed, 10 min of landing at
    48.1 A, the rest at 34 A: 40.8 min, under its own assumptions. The order of the currents does not matter."""
    printed = table("load_allowances", "emergency_power")
    shed, landing = (printed.at(row).value for row in ("time-to-shed", "landing-load"))
    runs = [(60 * shed, 43.5), (60 * landing, 48.1), (0.0, 34.0)]
    assert seconds_on_allowance(35.0, runs) / 60 == pytest.approx(40.8, abs=0.05)
    assert seconds_on_allowance(35.0, [runs[1], runs[0], runs[2]]) == pytest.approx(
        seconds_on_allowance(35.0, runs)
    )
    assert seconds_on_allowance(4.0, runs) / 60 == pytest.approx(4.0 * 0.75 / 43.5 * 60)
    assert math.isinf(seconds_on_allowance(35.0, [(60.0, 1.0), (0.0, 0.0)]))
