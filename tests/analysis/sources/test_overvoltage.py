"""Overvoltage when a regulator fails full on."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.solver import newton
from tests.analysis.operating_point.bench import bench

ALTERNATOR, TRIP = "parts/alternator", "overvoltage-trip: 16.2 V"


def test_the_trip_ends_it_and_without_one_the_alternator_is_unregulated() -> None:
    assert bench().sources.ceiling(ALTERNATOR).volts == 16.2
    assert bench((TRIP, "overvoltage-trip: none")).sources.ceiling(ALTERNATOR).volts == 79
    with pytest.raises(NotAssessable, match="overvoltage-trip"):
        bench((", " + TRIP, "")).sources.ceiling(ALTERNATOR)


def test_a_trip_on_the_field_does_not_stop_permanent_magnets() -> None:
    magnets = bench(
        (TRIP, TRIP + ", trip-acts-on: field, excitation: permanent-magnet"),
        ("  W13: {from: alternator-switch.load, to: alternator.field, gauge: 20 AWG, length: 1.6 m}\n", ""),
    )
    assert magnets.sources.ceiling(ALTERNATOR).volts == 79


def test_a_load_rated_below_the_trip_is_exposed_and_one_rated_above_is_not() -> None:
    sound = bench().sources
    assert sound.beyond(ALTERNATOR, sound.ceiling(ALTERNATOR)) == ()
    exposed = bench(("maximum: 16.5 V}\n  right-fuse", "maximum: 15 V}\n  right-fuse")).sources
    weak = exposed.beyond(ALTERNATOR, exposed.ceiling(ALTERNATOR))
    assert [(one.element, one.rated) for one in weak] == [("parts/left-ignition", 15)]
    assert 15 < weak[0].volts <= 16.2


def test_a_point_that_is_not_found_exposes_nothing_and_clears_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Its volts are no number, and no number passes every limit."""
    monkeypatch.setattr(newton, "ROUNDS", 1)
    monkeypatch.setattr(newton, "DESCENTS", 0)
    weak = bench(("maximum: 16.5 V}\n  right-fuse", "maximum: 15 V}\n  right-fuse")).sources
    with pytest.raises(NotAssessable, match="no operating point was found"):
        weak.beyond(ALTERNATOR, weak.ceiling(ALTERNATOR))
    strong = bench().sources
    assert strong.beyond(ALTERNATOR, strong.ceiling(ALTERNATOR)) == ()  # nothing is rated below the trip
