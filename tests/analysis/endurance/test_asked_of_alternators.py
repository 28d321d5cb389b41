"""What is asked of an alternator at its limit, against the same aircraft with a machine so large that it
never reaches one."""

from __future__ import annotations

import pytest

from reviewer.analysis.endurance.phase_loads import LoadOfPhase
from reviewer.model.quantity_words import quantity
from reviewer.reports.budget.words import alternator
from tests.edits import edited
from tests.rule_cases import design, facts, yaml_text

RULE = "alternators-carry-every-phase-with-margin"


def cruise(current: str, rating: str = "62 A") -> LoadOfPhase:
    data = edited(
        design(RULE, "met"), {"parts/cabin-heat/current": current, "parts/alternator/rating": rating}
    )
    known = facts(yaml_text(data))
    return known.endurance.phase_load(known.points.flown_in(["cruise"])[0])


@pytest.mark.parametrize("current", ["60 A", "75 A", "110 A"])
def test_what_is_asked_is_what_a_machine_without_a_limit_would_give(current: str) -> None:
    limited, large = cruise(current), cruise(current, "400 A")
    (mine,), (other,) = limited.alternators, large.alternators
    assert mine.asked == pytest.approx(other.amperes, rel=1e-6)
    assert other.asked == other.amperes
    assert mine.amperes < mine.asked and (limited.from_batteries > 1.0) == (current != "60 A")
    assert mine.load.share == pytest.approx(other.amperes / 62, rel=1e-6)
    assert f"{quantity(mine.asked, 'A', mine.amperes)} demanded at its set point" in alternator(mine, limited)
    assert mine.spare == 0.0


def test_more_is_asked_where_more_is_switched_on() -> None:
    shares = [cruise(f"{amps} A").alternators[0].load.share for amps in (60, 75, 110)]
    assert shares[0] < shares[1] < shares[2] and shares[0] > 1.0


def test_an_alternator_with_current_left_is_asked_for_what_it_gives() -> None:
    load = cruise("25 A")
    (mine,) = load.alternators
    assert mine.asked == mine.amperes and load.from_batteries == 0
    assert "asked" not in alternator(mine, load)
