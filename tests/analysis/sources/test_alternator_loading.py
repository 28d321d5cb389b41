"""Load at nominal volts, and loads that an alternator alone does not carry."""

from __future__ import annotations

import pytest

from reviewer.analysis.sources.alternator_loading import nominal_draw
from tests.analysis.operating_point.bench import bench


def test_what_an_alternator_powers_is_added_up_at_nominal_volts() -> None:
    facts = bench()
    draw = nominal_draw(
        facts.design, facts.network, facts.states.answer("cruise"), None, ("parts/alternator",)
    )
    assert draw.amps == {
        "parts/left-ignition": 1.5,
        "parts/right-ignition": 1.5,
        "parts/audio-panel": 0.5,
        "parts/main-contactor": 0.0,
    }
    assert draw.total == pytest.approx(3.5) and draw.unsaid == {"parts/main-contactor": "`coil-current`"}


def test_loads_beyond_the_alternator_lose_their_minimum_when_the_battery_opens() -> None:
    """10 A of audio, 3 A of ignition and 3 A of field on an alternator that gives 8 A."""
    facts = bench(
        ("rating: 60 A, set-point", "rating: 8 A, set-point"),
        ("current: 0.5 A\n", "current: 10 A\n    minimum: 9 V\n"),
    )
    assert "parts/audio-panel" in {
        lost.load for lost in facts.sources.undervoltage_on_battery_loss("parts/alternator")
    }
    assert bench().sources.undervoltage_on_battery_loss("parts/alternator") == ()
