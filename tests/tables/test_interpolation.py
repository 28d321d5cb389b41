"""Straight lines between points."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.tables.interpolation import bracket, interpolate

POINTS = ((0.0, 10.0), (1.0, 12.0), (4.0, 6.0))


@pytest.mark.parametrize(("x", "y"), [(0, 10), (0.5, 11), (1, 12), (2, 10), (4, 6)])
def test_between_two_points_it_is_straight_and_at_a_point_it_is_the_point(x: float, y: float) -> None:
    assert interpolate(POINTS, x) == pytest.approx(y)


@pytest.mark.parametrize("x", [-0.01, 4.01])
def test_outside_the_points_there_is_no_value(x: float) -> None:
    with pytest.raises(ValueError, match="outside 0 to 4"):
        interpolate(POINTS, x)


def test_two_points_at_one_place_are_a_step_that_is_reached_from_the_left() -> None:
    step = ((0.0, 1.0), (0.0, 2.0), (1.0, 3.0), (1.0, 5.0), (2.0, 5.0))
    assert [interpolate(step, x) for x in (0.0, 0.5, 1.0, 1.5)] == [1.0, 2.5, 3.0, 5.0]


@given(st.floats(-1, 5))
def test_the_interval_and_the_share_along_it_give_the_place_back(x: float) -> None:
    knots = [at for at, _ in POINTS]
    i, along = bracket(knots, x)
    assert 0 <= along <= 1
    assert knots[i] + along * (knots[i + 1] - knots[i]) == pytest.approx(min(4, max(0, x)))
