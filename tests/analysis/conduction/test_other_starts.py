"""Starts with switches moved: only those that change where a starter's current comes from or passes."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.rule_cases import design, text

RULE = "contacts-are-rated-for-their-loads"
TIED = "a tie switch that a start could be made through carries the starter"


def moved(trap: str) -> list[dict[str, str]]:
    """The switches moved in each other start of a case."""
    states = Facts(read_text(text(design(RULE, trap)), "case.yaml")).states
    assert all(states.answer(name).state.engine == "cranking" for name in states.other_starts)
    return [dict(start.moved) for start in states.other_starts.values()]


def test_a_tie_is_a_start_beside_the_battery_and_in_its_place() -> None:
    assert moved(TIED) == [{"tie-switch": "up"}, {"master": "down", "tie-switch": "up"}]


def test_a_fuse_passes_a_start_for_which_it_is_rated() -> None:
    fused = "the same fuse is the main fuse of that battery, rated for the start"
    assert moved(fused) == [{"tie-switch": "up"}, {"master": "down", "tie-switch": "up"}]


def test_no_start_passes_a_small_fuse_an_interlock_or_the_open_coil_of_the_starter() -> None:
    assert moved("one behind a fuse that opens at the start") == []
    assert moved("one that a bar holds open while the starter runs") == []
    assert moved("a start contactor whose coil rests as long as the tie is made") == []


def test_without_a_tie_no_switch_makes_another_start() -> None:
    assert moved("contactors with a short-time rating for the start") == []
