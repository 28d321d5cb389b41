"""Which sequence of actions is taken: the one that restores after the most failures, as long as the course stays short."""

from __future__ import annotations

from types import SimpleNamespace
from typing import cast

import pytest

from reviewer.analysis.crew import course_choice
from reviewer.analysis.crew.course import Course, CourseStep
from reviewer.analysis.crew.course_choice import MOST_STEPS, CourseChoice, made_moves


def choice(steps: int, ways: dict[str, tuple[int, int]]) -> CourseChoice:
    """A course of some steps; each way has so many steps more, and the failures after which it restores, as bits."""
    made = CourseChoice.__new__(CourseChoice)
    made.course = SimpleNamespace(every=0b1111)  # type: ignore[assignment]
    made.now = SimpleNamespace(works={"f": 0b0001})  # type: ignore[assignment]
    made.steps = ["before"] * steps  # type: ignore[list-item]

    def through(candidate: tuple[str, ...], function: str) -> list[tuple[object, str]]:
        more, works = ways[candidate[0]]
        return [(SimpleNamespace(works={function: works}), f"{candidate[0]}{i}") for i in range(more)]

    made._through = through  # type: ignore[assignment,method-assign]
    made._unloaded = lambda _: 0  # type: ignore[method-assign]
    return made


@pytest.mark.parametrize(
    ("before", "ways", "taken"),
    [
        (MOST_STEPS - 1, {"a": (1, 0b0011), "b": (2, 0b1111)}, ["a0"]),  # the longer one is one too long
        (MOST_STEPS - 2, {"a": (1, 0b0011), "b": (2, 0b1111)}, ["b0", "b1"]),
        (MOST_STEPS, {"a": (1, 0b1111)}, []),
        (0, {"a": (0, 0b1111), "b": (1, 0b0001)}, []),  # no way through, and one that restores nothing more
        (0, {"a": (1, 0b0011), "b": (1, 0b0101)}, ["a0"]),  # as much: the first
    ],
)
def test_the_sequence_that_is_taken(before: int, ways: dict[str, tuple[int, int]], taken: list[str]) -> None:
    made = choice(before, ways)
    made.restore("f", [(name,) for name in ways])
    assert made.steps[before:] == taken
    assert made.now.works["f"] == (ways[taken[0][0]][1] if taken else 0b0001)


@pytest.mark.parametrize(
    ("before", "after", "named"),
    [
        ({}, {("main", "reserve"): 0b01}, True),
        ({("main", "reserve"): 0b10}, {("main", "reserve"): 0b11}, True),  # in one more case of failure
        ({("main", "reserve"): 0b11}, {("main", "reserve"): 0b01}, False),  # tied already
        ({}, {("main", "reserve"): 0}, False),
    ],
)
def test_a_step_ties_sources_that_were_apart_before_it(
    before: dict[tuple[str, str], int],
    after: dict[tuple[str, str], int],
    named: bool,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Said of a step on a card, and of moves that a card warns of."""

    def step(ties: dict[tuple[str, str], int]) -> CourseStep:
        return SimpleNamespace(ties=ties)  # type: ignore[return-value]

    found = Course.__new__(Course).ties(step(before), step(after))
    assert found == ((("main", "reserve"),) if named else ())
    monkeypatch.setattr(course_choice, "_tried", lambda *_: [((), {}, after)])
    course = cast(Course, SimpleNamespace(design=SimpleNamespace(functions={}), cases=()))
    (made,) = made_moves(course, step(before), [()])
    assert tuple(made.ties) == found
