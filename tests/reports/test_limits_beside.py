"""A figure beside a limit shows on which side it is; a time in a table is rounded down as in the text."""

from __future__ import annotations

import pytest

from reviewer.reports.handoff.schedules.schedule import minutes
from reviewer.reports.solve.words import volts


@pytest.mark.parametrize(
    ("value", "limits", "said"),
    [
        (13.4995, (13.5, None), "13.499 V"),
        (13.4995, (11.0, 32.0), "13.50 V"),
        (13.4995, (), "13.50 V"),
        (13.5, (13.5, None), "13.50 V"),
        (15.2004, (13.0, 15.2), "15.2004 V"),
        (None, (13.5,), "dead"),
    ],
)
def test_volts_beside_a_limit_are_never_said_to_be_it(
    value: float | None, limits: tuple[float | None, ...], said: str
) -> None:
    assert volts(value, *limits) == said


@pytest.mark.parametrize(
    ("seconds", "cell"),
    [(3599.0, 59.9), (3600.0, 60), (59.0, 0.9), (float("inf"), "unlimited"), (-59.0, -1)],
)
def test_minutes_of_a_table_are_rounded_down(seconds: float, cell: object) -> None:
    assert minutes(seconds) == cell
