"""What breakers and fuses carry on the small aircraft, continuously and at a peak."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.protection_loading import continuous_rating_share, loads_on, peak_share
from tests.analysis.small_aircraft import small


def test_a_breaker_carries_its_load_and_may_carry_a_share_of_its_rating() -> None:
    worst = small().protection.worst_continuous("heater-breaker", 15.0)
    assert worst is not None and worst.amps == pytest.approx(9.8, abs=0.1)
    assert (
        worst.most == pytest.approx(15.0 * continuous_rating_share())
        and continuous_rating_share() < 1 < peak_share()
    )


def test_at_its_peak_a_motor_adds_its_peak_in_place_of_its_current() -> None:
    worst = small().protection.worst_peak("pump-breaker", 5.0)
    assert worst is not None and (worst.load, worst.most) == ("pump", 5.0 * peak_share())
    assert worst.amps == pytest.approx(6.0, abs=1e-3)


def test_a_motor_without_a_peak_cannot_be_assessed() -> None:
    facts = small(("current: 3 A, peak: 6 A", "current: 3 A"))
    with pytest.raises(NotAssessable, match="`peak` of pump"):
        facts.protection.worst_peak("pump-breaker", 5.0)


def test_a_load_without_a_current_leaves_its_breaker_unknown_and_no_other() -> None:
    facts = small(("kind: load, type: heater, current: 10 A", "kind: load, type: heater"))
    with pytest.raises(NotAssessable, match="`current` of heater"):
        facts.protection.worst_continuous("heater-breaker", 15.0)
    assert facts.protection.worst_continuous("pump-breaker", 5.0) is not None


def test_a_breaker_was_chosen_for_the_loads_before_the_next_bus() -> None:
    facts = small()
    assert loads_on(facts.design, facts.network) == {"heater-breaker": ("heater",), "pump-breaker": ("pump",)}
