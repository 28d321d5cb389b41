"""A move that gives no time is said to give none; of one that does, when the function is lost without it."""

from __future__ import annotations

from math import inf

import pytest

from reviewer.analysis.endurance.generation_loss import TimelineEntry, TimelineEvent
from reviewer.reports.budget.words import without_move


@pytest.mark.parametrize(
    ("without", "seconds", "says"),
    [
        (2040.0, 2050.0, "ignition is lost at the same time"),
        (2040.0, 4200.0, "ignition is lost after 34 min"),
        (2040.0, inf, "ignition is lost after 34 min"),
        (inf, inf, "ignition is not lost"),
        (None, 2040.0, ""),
    ],
)
def test_the_loss_without_a_move(without: float | None, seconds: float, says: str) -> None:
    move = TimelineEntry(TimelineEvent.SHED, 60.0, "audio-off", takes=20.0, without=without)
    assert without_move(move, "ignition", seconds) == says
