"""Alternator load and parked days, worked by hand. Printed values stand in tests/published."""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.ratings.supply import (
    alternator_load,
    days_to_half,
    seconds_on_allowance,
    surplus_current,
)


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


def test_three_quarters_of_the_rated_capacity_are_used_up_run_after_run() -> None:
    """16 Ah: 12 Ah. 20 A for 300 s leave 37,200 As, which 10 A take in 3,720 s."""
    assert seconds_on_allowance(16, [(300, 20), (0, 10)]) == pytest.approx(300 + 3720)
    assert seconds_on_allowance(16, [(7200, 12), (0, 5)]) == pytest.approx(3600)  # the first run takes all
    assert seconds_on_allowance(16, [(600, 0), (0, 12)]) == pytest.approx(600 + 3600)
    assert seconds_on_allowance(16, [(600, 1), (0, 0)]) == math.inf
    assert seconds_on_allowance(16, [(0, 12), (0, 0.5)]) == pytest.approx(12 * 3600 / 0.5)
