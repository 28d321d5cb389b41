"""The minutes that a card gives a unit with a battery inside it, once its feed is lost."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.questions.checklist_minutes import CardMinutes
from tests.analysis.operating_point.bench import bench

PANEL = "audio-panel:\n    kind: instrument\n"
EDITS = (
    ("nominal: 14 V", "nominal: 14 V, min-temperature: 0 C"),
    (PANEL, PANEL + "    internal-battery: 40 min\n    minimum: 9 V\n"),
    ("functions:\n", "functions:\n  intercom: {any: 1, of: [audio-panel], loss: major}\n"),
)


@pytest.mark.parametrize(("opened", "minutes"), [("audio-breaker", [40]), ("left-fuse", [])])
def test_a_unit_without_its_feed_works_for_the_minutes_of_the_battery_inside_it(
    opened: str, minutes: list[int]
) -> None:
    """The alternator still gives; no minutes are given of a unit that is fed."""
    facts = bench(*EDITS)
    card = CardMinutes(facts, facts.states.answer("cruise"), [(Failure(f"parts/{opened}", "open"),)])
    limited, needs = card.limited([0], (), (), (), None)
    found = [one.unattended / 60 for one in limited if one.function == "intercom"]
    assert (found, needs) == (minutes, "")


def test_moves_that_restore_no_feed_give_the_battery_inside_no_more_time() -> None:
    facts = bench(
        *EDITS,
        (
            "  states:\n",
            "  recognition-time: 2 min\n  actions: {pull: {move: {left-switch: down}, time: 5 min}}\n  states:\n",
        ),
    )
    case = (Failure("parts/audio-breaker", "open"),)
    (flown, *_) = facts.points.flown_in(["cruise"])
    notice = LossNotice("audio-panel", 0.0)
    found = facts.endurance.limited_functions(case, flown.phase, ("pull",), (), notice)["intercom"]
    assert (found.unattended / 60, (found.attended or 0) / 60) == (40, 40)
