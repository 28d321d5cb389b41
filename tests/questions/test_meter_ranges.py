"""What a meter may read under each of some cases, of points solved for all of them at once."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from reviewer.questions.meter_ranges import SolvedCases


def test_each_case_has_the_least_and_most_of_its_own_points() -> None:
    """Two points of three cases, one after the other; the second point of the last case is not found."""
    read = np.array([12.0, 13.0, 11.0, 12.2, 12.9, np.nan])
    points: Any = SimpleNamespace(
        volts=lambda terminal: read,
        amps=lambda source: -read,
        across=lambda load: read,
        powered={"parts/radio": 0b010},
        built=SimpleNamespace(loads={"parts/radio": 0}, coils={}),
        unsolved=(SimpleNamespace(point=5),),
    )
    solved = SolvedCases(points, 3)
    assert solved.volts("bus") == [(12.0, 12.2), (12.9, 13.0), None]
    assert solved.given("parts/battery") == [(-12.2, -12.0), (-13.0, -12.9), None]
    assert solved.across("parts/radio") == [(0.0, 0.0), (12.9, 13.0), None]
    assert solved.across("parts/not-drawn") == [(0.0, 0.0)] * 3
