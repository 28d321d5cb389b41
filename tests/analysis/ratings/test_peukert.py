"""Peukert's law in the hour-rate form. Printed values stand in tests/published."""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.ratings.peukert import hours_at_rate, hours_no_better_than_rated


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
    for law in (hours_at_rate, hours_no_better_than_rated):
        with pytest.raises(ValueError, match="exponent"):
            law(17, 20, amperes, exponent)


def test_without_a_current_there_is_no_end() -> None:
    assert hours_at_rate(17, 20, 0, 1.2) == hours_no_better_than_rated(17, 20, 0, 1.2) == math.inf
