"""What is seen of a unit with a battery inside it when its feed is lost, and what typical charge solve names."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.questions.solve import solved_of
from reviewer.questions.state_signs import EITHER, NO, YES, Look, Sign, StateSigns
from tests.analysis.operating_point.bench import bench

OPEN = [(Failure(f"parts/{name}", "open"),) for name in ("audio-breaker", "audio-panel")]
PANEL = "audio-panel:\n    kind: instrument\n"


@pytest.mark.parametrize(
    ("inside", "without_feed"), [("", NO), ("    internal-battery: 30 min\n", EITHER)], ids=["no", "battery"]
)
def test_a_unit_is_dark_without_its_feed_unless_a_battery_inside_it_works_on(
    inside: str, without_feed: tuple[float, float]
) -> None:
    facts = bench((PANEL, PANEL + inside))
    signs = StateSigns(facts, facts.states.answer("cruise"), OPEN)
    assert signs.seen(Sign(Look.UNIT, "audio-panel")) == (without_feed, NO, YES)


@pytest.mark.parametrize(("state", "assumed"), [("cruise", False), ("stopped", True)])
def test_a_charge_that_flight_leaves_is_no_typical_value_and_one_on_the_ground_is(
    state: str, assumed: bool
) -> None:
    (phase,) = solved_of(bench(), state).phases
    assert any("state of charge" in one.what for one in phase.typical) == assumed
