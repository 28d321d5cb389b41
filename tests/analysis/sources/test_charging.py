"""What charging does to batteries, against facts of the trade (common practice, no source) and sums done by hand."""

from __future__ import annotations

from math import log

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.sources import charging
from reviewer.analysis.sources.recharge_course import seconds_above
from reviewer.model import parts as p
from reviewer.reading import read_text
from reviewer.tables.batteries import state_of_charge_at
from tests.analysis.operating_point.bench import BASE


def facts(*edits: tuple[str, str]) -> Facts:
    text = BASE
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "base.yaml"))


def test_the_reserve_floats_behind_its_diode_and_the_main_battery_stands_at_the_set_point() -> None:
    """Common practice: main battery 14.2 to 14.5 V, reserve behind a diode near 13.9 V, where the diode drops 0.5 to 0.8 V."""
    generating = facts().sources
    (main,), (reserve,) = (
        generating.charging_points("parts/main-battery"),
        generating.charging_points("parts/reserve-battery"),
    )
    assert 14.2 <= main.volts <= 14.5
    assert 13.5 <= reserve.volts <= 14.0
    assert 0 < reserve.amps < 0.2  # a full reserve takes a trickle
    assert (
        "drop of a silicon diode at its rating" in reserve.assumed
        and "drop of a silicon diode at its rating" not in main.assumed
    )


def test_a_flat_lead_acid_reserve_takes_about_its_capacity_and_less_as_it_fills() -> None:
    """Common practice: flat, amperes of about the ampere-hours; it falls off by itself."""
    flat = facts().sources.recharge("parts/reserve-battery", 1.0)
    assert 0.3 * 7 <= flat.amps <= 1.2 * 7
    assert 1800 < flat.seconds < 8 * 3600


def test_time_above_a_limit_is_that_of_a_current_that_falls_off_with_the_charge() -> None:
    """10 Ah from nothing: a current that falls by 10 A over 5 Ah falls off with a time constant of half an hour, by 5 A with one of an hour;
    each half of the charge halves it, which takes ln 2 of that."""
    charges, amps = [0.0, 0.5, 1.0], [20.0, 10.0, 5.0]
    assert seconds_above(10.0, charges, amps, 10.0) == pytest.approx(log(2) * 1800)
    assert seconds_above(10.0, charges, amps, 4.0) == pytest.approx(log(2) * 1800 + log(2) * 3600)
    assert seconds_above(10.0, charges, [20.0, 20.0, 20.0], 4.0) == pytest.approx(1800)
    assert seconds_above(10.0, charges, amps, 20.0) == 0


def test_time_above_a_limit_ends_where_the_current_falls_to_it() -> None:
    """From 20 A to 15 A, with a time constant of half an hour."""
    assert seconds_above(10.0, [0.0, 0.5, 1.0], [20.0, 10.0, 5.0], 15.0) == pytest.approx(log(20 / 15) * 1800)


def test_a_flat_battery_is_charged_first_with_what_its_resistance_lets_through() -> None:
    """One answer: the recharge of lithium begins with its first current, lead-acid accepts less."""
    lead = facts().sources.recharge("parts/reserve-battery", 1.0)
    assert lead.first == facts().sources.first_charge("parts/reserve-battery").amps > 2 * lead.amps
    lithium = facts(
        ("chemistry: lead-acid, capacity: 17 Ah}", "chemistry: lithium-iron-phosphate, capacity: 17 Ah}")
    ).sources
    assert lithium.recharge("parts/main-battery", 20.0).amps == pytest.approx(
        lithium.first_charge("parts/main-battery").amps, abs=0.01
    )


def test_lithium_takes_what_the_alternator_has_left() -> None:
    """60 A less 5 A or so of loads, coil and field."""
    lithium = facts(
        ("chemistry: lead-acid, capacity: 17 Ah}", "chemistry: lithium-iron-phosphate, capacity: 17 Ah}")
    )
    assert 50 <= lithium.sources.recharge("parts/main-battery", 20.0).amps <= 58
    assert lithium.sources.largest_charge_current("parts/main-battery") == 60


def test_no_more_is_accepted_than_the_bound_says() -> None:
    generating = facts().sources
    for battery in ("parts/main-battery", "parts/reserve-battery"):
        assert generating.recharge(battery, 0.1).amps < generating.largest_charge_current(battery)


def test_the_most_is_what_lead_acid_accepts_where_every_set_point_is_known_else_what_the_givers_give() -> (
    None
):
    known = facts()
    battery = known.design.part("main-battery", p.Battery)
    accepts = charging.most_accepted(known.design, battery, 14.4)
    assert (
        known.sources.largest_charge_current("parts/main-battery") == pytest.approx(accepts) and accepts < 60
    )
    unknown = facts(("set-point: 14.4 V, ", ""))
    assert unknown.sources.largest_charge_current("parts/main-battery") == 60


@pytest.mark.parametrize(
    ("words", "low", "high"),
    [
        ("chemistry: lead-acid, capacity: 17 Ah", 13.8, 14.7),
        ("chemistry: lithium-iron-phosphate, capacity: 17 Ah", 13.8, 14.6),
        ("purpose: reserve, chemistry: lead-acid, capacity: 17 Ah", 13.5, 14.7),
        ("purpose: reserve, chemistry: lithium-iron-phosphate, capacity: 17 Ah", 13.4, 14.6),
        ("chemistry: lead-acid, capacity: 17 Ah, max-charge-voltage: 14.9 V", 13.8, 14.9),
        ("capacity: 17 Ah, min-charge-voltage: 13.0 V, max-charge-voltage: 14.9 V", 13.0, 14.9),
    ],
)
def test_the_window_is_the_makers_or_that_of_the_chemistry(words: str, low: float, high: float) -> None:
    """Common practice, no source."""
    design = facts(
        (
            "main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}",
            f"main-battery: {{kind: battery, {words}}}",
        )
    ).design
    found = charging.window(design, design.parts["main-battery"])
    assert (found.low, found.high) == (low, high)


def test_a_lithium_reserve_behind_a_diode_fills_to_what_its_chart_says() -> None:
    """Common practice: 13.3 V at rest is nine tenths of a lithium iron phosphate battery, as its chart prints."""
    reserve = (
        "chemistry: lead-acid, capacity: 7 Ah}",
        "chemistry: lithium-iron-phosphate, capacity: 7 Ah, state-of-charge: 80 %}",
    )
    low = facts(reserve, ("set-point: 14.4 V", "set-point: 13.9 V")).sources
    (lithium,) = low.charging_points("parts/reserve-battery")
    assert lithium.fills_to == pytest.approx(
        state_of_charge_at("lithium-iron-phosphate", lithium.volts).value
    )
    assert lithium.fills_to is not None and 0.5 < lithium.fills_to < 1.0
    assert low.charging_points("parts/main-battery")[0].fills_to is None
