"""The duty of the diode through which the reserve is charged."""

from __future__ import annotations

import pytest

from reviewer.analysis.protection.diode_duty import highest_volts
from tests.analysis.small_aircraft import small


def test_the_inrush_into_a_flat_battery_is_the_largest_current() -> None:
    facts = small()
    charge = facts.protection.recharge_inrush_of("reserve")
    duty = facts.protection.duty_of_diode("charge-diode")
    assert charge is not None and duty.amps == charge.diodes["charge-diode"] > 10
    assert "flat reserve" in duty.when and duty.watts == pytest.approx(duty.amps * 0.5)
    assert (duty.protector, duty.wanted) == ("", None)


def test_a_breaker_before_the_diode_sets_the_rating_that_is_wanted() -> None:
    """The feed of the radio bus: a breaker of 7.5 A ahead of the diode, which needs a margin over it."""
    duty = small().protection.duty_of_diode("main-diode")
    assert (duty.protector, duty.lowest) == ("main-feed", 7.5)
    assert duty.wanted is not None and duty.wanted > 7.5 and duty.amps == pytest.approx(2.0, abs=0.2)


def test_the_highest_voltage_is_the_trip_where_there_is_one() -> None:
    assert highest_volts(small().design) == (14.4, "the set point", ("parts/alternator/set-point",))
    tripping = small(("set-point: 14.4 V,", "set-point: 14.4 V, overvoltage-trip: 16.2 V,"))
    volts = highest_volts(tripping.design)
    assert volts is not None and volts[0] == 16.2
