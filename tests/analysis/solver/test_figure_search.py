"""A search for a figure that leads to itself, on straight lines, whose answers are seen by eye."""

from __future__ import annotations

import numpy as np
import pytest

from reviewer.analysis.solver.figure_search import FigureSearch


def two_steps(slope: float) -> tuple[float, float]:
    """The first two figures that are tried after 0, where ``slope`` times a figure and 1 is found with it."""
    search, tried = FigureSearch(1, 1, 1e-6), np.zeros((1, 1))
    one = search.next(tried, slope * tried + 1)
    two = search.next(one, slope * one + 1)
    return float(one[0, 0]), float(two[0, 0])


@pytest.mark.parametrize(
    ("slope", "second"),
    [
        (0.5, 2.0),  # the figure itself: 0.5 of 2 and 1
        (0.0, 1.0),
        (-0.5, 1 / 1.5),
        (0.999, 1 + 0.999 / 0.05),  # a thousand is far off; no step is longer than 20 times what is missing
        (1.5, 1 + 1.5 / 0.05),  # what follows itself by more runs away
        (-3.0, 1 - 3.0 / 2),  # and what turns round goes half the way
    ],
)
def test_one_figure_is_found_by_the_line_through_what_was_tried_and_no_step_is_too_long(
    slope: float, second: float
) -> None:
    assert two_steps(slope) == (1.0, pytest.approx(second))


def test_each_point_is_searched_by_itself_and_one_that_is_found_stays() -> None:
    search = FigureSearch(2, 1, 1e-6)
    tried = np.array([[2.0], [0.0]])
    for _ in range(2):
        tried = search.next(tried, 0.5 * tried + 1)
    assert tried == pytest.approx(np.array([[2.0], [2.0]]))
