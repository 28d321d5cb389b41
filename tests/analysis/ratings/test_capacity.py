"""What a battery gives by temperature and rate. The share at -10 C and the straight line are common practice, no
source; the hour-rate form of Peukert's law is published."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.ratings.capacity import capacity_test, rated_hours, share_at
from reviewer.model.parts import Battery
from reviewer.reading import read_text


def battery(**keys: str) -> Battery:
    text = ", ".join(f"{key}: {value}" for key, value in keys.items())
    aircraft = "{name: Bare, nominal: 14 V, airframe: metal, stage: concept}"
    design = read_text(
        f"format: 1\naircraft: {aircraft}\nparts: {{main: {{kind: battery, {text}}}}}\nwires: {{}}\n", "bare"
    )
    return design.part("main", Battery)


def test_the_cold_share_is_that_of_the_trade_and_all_of_it_when_warm() -> None:
    assert (share_at(-10), share_at(25), share_at(40)) == (pytest.approx(0.8), 1.0, 1.0)
    assert share_at(7.5) == pytest.approx(0.9)
    with pytest.raises(NotAssessable, match="-20 C"):
        share_at(-20)


def test_at_its_rated_current_a_new_battery_lasts_its_rated_time() -> None:
    one = capacity_test(battery(chemistry="lead-acid", capacity="24 Ah", **{"capacity-rate": "1 h"}), 24.0)
    assert (one.shortest, one.longest) == (pytest.approx(3600), pytest.approx(3600))
    assert one.replace_below == pytest.approx(0.8 * 3600)


def test_above_it_the_range_is_that_of_the_exponents() -> None:
    """T = C (C / R)^(n-1) / I^n for 17 Ah at 20 h and 8.5 A: 20 h x (1 / 10)^n, n from 1.10 to 1.20."""
    one = capacity_test(battery(chemistry="lead-acid", capacity="17 Ah", construction="agm"), 8.5)
    assert one.shortest == pytest.approx(3600 * 20 * 0.1**1.2)
    assert one.longest == pytest.approx(3600 * 20 * 0.1**1.1)
    assert one.replace_below is None


def test_no_capacity_no_test() -> None:
    with pytest.raises(NotAssessable, match="capacity"):
        capacity_test(battery(chemistry="lead-acid"), 5.0)


def test_the_hours_of_a_rating_are_those_of_the_file_else_of_the_trade() -> None:
    assert rated_hours(battery(**{"capacity": "24 Ah", "capacity-rate": "5 h"})) == 5.0
    assert rated_hours(battery(capacity="24 Ah")) == 20.0
