"""An alternator whose overvoltage trip shorts its field feed, against a loop worked by hand."""

from __future__ import annotations

import pytest

from tests.analysis.small_aircraft import small

RING = 0.0002


def test_the_breaker_of_the_field_carries_the_short_and_takes_nothing_else() -> None:
    found = small().protection.crowbar("alternator")
    assert found is not None
    battery, contactor, back = 2 * 0.010, 0.001 + 0.0003 + 0.001, 0.0005 + 0.002 + 0.001
    loop = battery + contactor + 0.010 + 0.010 + 0.050 + back + 2 * RING * 3  # bus, block and engine
    assert found.short.protector == "field-breaker" and found.takes == ()
    assert found.short.ohms == pytest.approx(loop, rel=1e-6)
    assert found.short.amps == pytest.approx(12.6 / loop, rel=0.02)


def test_a_field_of_magnets_has_no_feed_to_short() -> None:
    magnets = small(
        (
            "rating: 40 A, set-point: 14.4 V, field-current: 3 A",
            "rating: 40 A, set-point: 14.4 V, excitation: permanent-magnet",
        ),
        ("  P8: {from: main-bus.field, to: field-breaker.line, resistance: 0.010 ohm}\n", ""),
        ("  P9: {from: field-breaker.load, to: alternator.field, resistance: 0.050 ohm}\n", ""),
    )
    assert magnets.protection.crowbar("alternator") is None
