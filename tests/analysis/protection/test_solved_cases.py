"""The cases in which protection is loaded: what is flown, and change-over positions that no state of flight sets."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from tests.analysis.small_aircraft import small

CHANGEOVER = (
    (
        "radio-switch: {kind: switch, positions: {off: [], on: [[line, load]]}",
        "radio-switch: {kind: switch, positions: {off: [], on: [[line, load]], spare: [[spare, load]]}",
    ),
    (
        "  R8: {from: radio-switch",
        "  R9: {from: reserve.positive, to: radio-switch.spare, resistance: 0.010 ohm}\n  R8: {from: radio-switch",
    ),
    ("loss: hazardous", "loss: catastrophic"),
)


def test_every_state_that_is_flown_is_a_case_with_its_powered_loads() -> None:
    cases = {case.state: case for case in small().protection.solved_places}
    assert set(cases) >= {"cruise", "smoke"}
    assert cases["cruise"].powered == {"heater", "pump", "radio"} and cases["smoke"].powered == {"radio"}
    assert cases["cruise"].taken()["heater-breaker"] == ("heater",) and not cases["cruise"].cranks


def test_a_position_that_changes_a_critical_function_over_and_that_no_state_sets_is_a_case() -> None:
    moved = [case for case in small(*CHANGEOVER).protection.solved_places if case.moved]
    assert [case.moved for case in moved] == [(("radio-switch", "spare"),)]
    assert moved[0].state == "" and moved[0].words == "cruise with radio-switch at spare"
    assert moved[0].point.amps["parts/main-feed"] == pytest.approx(0.0, abs=0.01)


def excluding(switches: str) -> tuple[str, str]:
    """An exclusion of a combination."""
    states = "\n  states:\n    cruise: {use: flight"
    return states, f"\n  excluded: [{{switches: {{{switches}}}, because: One bar.}}]{states}"


def test_a_position_takes_along_what_an_exclusion_makes_it_take() -> None:
    changes = (*CHANGEOVER, excluding("radio-switch: spare, master-switch: on"))
    (case,) = (case for case in small(*changes).protection.solved_places if case.moved)
    assert case.moved == (("radio-switch", "spare"), ("master-switch", "off"))
    assert case.powered == {"radio"}


def test_a_position_that_cannot_be_set_is_no_case() -> None:
    changes = (*CHANGEOVER, excluding("radio-switch: spare"))
    assert [case for case in small(*changes).protection.solved_places if case.moved] == []


def test_without_any_current_nothing_is_solved() -> None:
    bare = small(
        ("kind: load, type: heater, current: 10 A", "kind: load, type: heater"),
        ("current: 3 A, peak: 6 A", "peak: 6 A"),
        ("kind: instrument, current: 2 A,", "kind: instrument,"),
    )
    with pytest.raises(NotAssessable, match="`current` of the loads"):
        assert bare.protection.solved_places
