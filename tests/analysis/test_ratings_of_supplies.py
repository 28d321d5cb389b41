"""Properties of endurance, recharge, storage and alternator load, and cases worked by hand. Printed values stand in tests/published."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.ratings.discharge_time import Stage, Store, endurance, floor_of
from reviewer.analysis.ratings.peukert import (
    hours_at_rate,
    hours_by_peukert_capacity,
    hours_no_better_than_rated,
)
from reviewer.analysis.ratings.supply import alternator_load, days_to_half, recharge_current, surplus_current
from reviewer.tables.batteries import charge_at_rest, rest_voltage
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.practice import practice

FRESH = Store(rated_ah=17, exponent=1.2, age=1.0, cold=1.0)
exponents = st.floats(1.0, 1.3)
currents = st.floats(0.1, 60)
shares = st.floats(0.1, 1.0)


# computed from the published hour-rate form by others, not printed by a source: C, R, I, n, hours
@pytest.mark.parametrize(
    ("rated", "hours", "amperes", "exponent", "expected"),
    [(100, 20, 10, 1.2, 8.706), (100, 20, 10, 1.3, 8.123), (17, 20, 10, 1.2, 1.0383)],
)
def test_hour_rate_form(rated: float, hours: float, amperes: float, exponent: float, expected: float) -> None:
    assert hours_at_rate(rated, hours, amperes, exponent) == pytest.approx(expected, rel=1e-4)


def test_one_public_table_is_not_peukert() -> None:
    """It gives 89 Ah at the 10-hour rate for k = 1.1, where the law gives 93.3 Ah from 100 Ah at 20 hours."""
    assert 10 * hours_at_rate(100, 20, 10, 1.1) == pytest.approx(93.3, abs=0.05)


def test_without_an_exponent_a_battery_gives_its_rated_capacity() -> None:
    for amperes in (0.1, 0.85, 10, 100):
        assert hours_at_rate(17, 20, amperes, 1) == pytest.approx(17 / amperes)


def test_below_the_rated_current_a_battery_gives_no_more_than_rated() -> None:
    assert hours_no_better_than_rated(17, 20, 0.1, 1.2) == 170 < hours_at_rate(17, 20, 0.1, 1.2)
    assert hours_no_better_than_rated(17, 20, 10, 1.2) == hours_at_rate(17, 20, 10, 1.2)


@pytest.mark.parametrize(("amperes", "exponent"), [(-1, 1.2), (1, 0.9)])
def test_the_law_refuses_what_it_was_not_made_for(amperes: float, exponent: float) -> None:
    for law in (lambda: hours_by_peukert_capacity(17, amperes, exponent), lambda: hours_no_better_than_rated(17, 20, amperes, exponent)):
        with pytest.raises(ValueError, match="exponent"):
            law()


@given(currents, exponents, shares, shares)
def test_one_stage_lasts_as_the_common_formula_says(amperes: float, exponent: float, age: float, cold: float) -> None:
    """t = C ((C / 20) / I)^(k-1) a T / I, common practice, no source; above the rated current."""
    if amperes < 17 / 20:
        return
    found = endurance(Store(17, exponent, age, cold), [Stage("flight", amperes, None)])
    assert found.seconds / 3600 == pytest.approx(17 * ((17 / 20) / amperes) ** (exponent - 1) * age * cold / amperes)
    assert found.empty_in == "flight"


def test_time_to_recognise_costs_charge() -> None:
    """Worked by hand, k = 1: 17 Ah x 0.8 x 0.8 = 10.88 Ah; 5 min at 20 A take 1.667 Ah; 9.213 Ah at 8 A last 69.1 min; in all 74.1 min."""
    store = Store(17, 1.0, 0.8, 0.8)
    found = endurance(store, [Stage("recognise", 20, 300), Stage("shed", 8, None)])
    assert found.seconds / 60 == pytest.approx(74.1, abs=0.05)
    assert [(u.name, round(u.share, 3)) for u in found.uses] == [("recognise", 0.153), ("shed", 0.847)]


def test_a_battery_may_be_empty_before_the_loads_are_shed() -> None:
    found = endurance(Store(3, 1.0, 0.8, 0.8), [Stage("recognise", 30, 300), Stage("shed", 8, None)])
    assert found.empty_in == "recognise"
    assert found.seconds == pytest.approx(3 * 0.64 / 30 * 3600)
    assert len(found.uses) == 1


def test_only_the_charge_above_the_floor_is_used() -> None:
    """Worked by hand, k = 1: 10 Ah from 90 % to 40 % are 5 Ah, an hour at 5 A."""
    assert endurance(Store(10, 1.0, 1.0, 1.0, charge=0.9, floor=0.4), [Stage("flight", 5, None)]).seconds == pytest.approx(3600)
    assert endurance(Store(10, 1.0, 1.0, 1.0, charge=0.3, floor=0.4), [Stage("flight", 5, None)]).seconds == 0


def test_stages_that_end_leave_charge() -> None:
    found = endurance(FRESH, [Stage("approach", 0.85, 3600)])
    assert (found.empty_in, found.seconds) == (None, 3600)
    assert found.left == pytest.approx(1 - 1 / 20)


def test_without_a_load_there_is_no_end() -> None:
    assert endurance(FRESH, [Stage("parked", 0, None)]).seconds == math.inf


@given(currents, currents, exponents, shares, st.floats(0, 0.9), st.floats(1, 600))
def test_endurance_falls_with_load_and_rises_with_capacity(a: float, b: float, k: float, charge: float, floor: float, recognise: float) -> None:
    low, high = sorted((a, b))

    def seconds(load: float, ah: float, least: float) -> float:
        return endurance(Store(ah, k, 0.8, 0.8, charge, least), [Stage("before", load, recognise), Stage("after", load, None)]).seconds

    assert seconds(high, 17, floor) <= seconds(low, 17, floor) * (1 + 1e-9)
    assert seconds(low, 17, floor) <= seconds(low, 20, floor) * (1 + 1e-9)
    assert seconds(low, 17, floor) <= seconds(low, 17, floor / 2) * (1 + 1e-9)
    one = endurance(Store(17, k, 0.8, 0.8, charge, floor), [Stage("all", low, None)]).seconds
    assert seconds(low, 17, floor) == pytest.approx(one)  # cutting a stretch in two changes nothing


@pytest.mark.parametrize("store", [Store(0, 1.2, 0.8, 0.8), Store(17, 1.2, 0.8, 0.8, charge=1.1), Store(17, 1.2, 0.8, 0.8, floor=-0.1)])
def test_what_is_no_battery_is_refused(store: Store) -> None:
    with pytest.raises(ValueError, match="not a battery"):
        endurance(store, [Stage("flight", 5, None)])


def test_a_cut_off_behind_a_diode_leaves_charge_in_the_battery() -> None:
    """Worked by hand: 11.0 V at the load, 0.7 V in the diode, 10 A through 0.010 ohm: it must rest at 11.8 V, half way from 11.6 V (0 %) to 12.0 V (25 %)."""
    found = floor_of("lead-acid", 11.0, 10, 0.010, "14 V", 0.7)
    assert (found.rest_v, found.charge) == (pytest.approx(11.8), pytest.approx(0.125))
    assert floor_of("lead-acid", 10.5, 10, 0.010, "14 V").charge == 0
    assert floor_of("lead-acid", 22.0, 10, 0.010, "28 V", 1.5).charge == pytest.approx(0.125)
    assert floor_of("lead-acid", 12.9, 10, 0.010, "14 V").charge == 1


@given(st.sampled_from(("lead-acid", "lithium-iron-phosphate")), st.floats(0, 0.99), st.floats(0, 0.99))
def test_rest_voltage_rises_with_charge_and_is_read_back(chemistry: str, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert rest_voltage(chemistry, low).value <= rest_voltage(chemistry, high).value
    assert charge_at_rest(chemistry, rest_voltage(chemistry, a).value).value == pytest.approx(a, abs=1e-9)


def test_rest_voltages_are_for_14_and_28_volt_systems() -> None:
    for nominal in ("24 V", "12 V", "115 V"):
        with pytest.raises(OutsideTable):
            rest_voltage("lead-acid", 0.5, nominal)
    assert rest_voltage("lithium-iron-phosphate", 1.0).value == rest_voltage("lithium-iron-phosphate", 0.99).value


def test_a_flat_battery_takes_a_surge_when_it_is_recharged() -> None:
    """Worked by hand: 14.2 V through a 0.5 V diode into 11.8 V behind 0.050 ohm: 38 A. Common practice, no source."""
    assert recharge_current(14.2, 11.8, 0.050, 0.5) == pytest.approx(38)
    assert recharge_current(12.0, 12.6, 0.050) == 0
    with pytest.raises(ValueError, match="ohm"):
        recharge_current(14.2, 11.8, 0)


def test_an_alternator_gives_its_battery_what_the_loads_leave() -> None:
    assert (surplus_current(60, 25), surplus_current(20, 25)) == (35, 0)


def test_the_load_on_an_alternator_is_a_share_of_what_it_gives() -> None:
    found = alternator_load(30, 60)
    assert (found.share, found.limit.origin.title) == (0.5, "AC 43.13-1B 11-35a")
    with pytest.raises(ValueError, match="alternator"):
        alternator_load(30, 0)


def test_ten_milliamperes_take_sixteen_ampere_hours_to_half_in_33_days() -> None:
    """Common practice, no source."""
    assert days_to_half(16, 0.010) == pytest.approx(33, abs=0.5)
    assert days_to_half(16, 0) == math.inf
    with pytest.raises(ValueError, match="drain"):
        days_to_half(16, -0.01)


def test_ranges_of_the_trade_are_marked_and_in_order() -> None:
    found = practice("volts", "charging")
    assert (found.low, found.high, found.origin.status, found.origin.source) == (14.2, 14.5, "practice", "practice")
    with pytest.raises(OutsideTable, match="common practice"):
        practice("volts", "no-such-thing")
