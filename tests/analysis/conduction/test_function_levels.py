"""Functions of functions: what they rest on, however many share a channel, and how many levels there may be."""

from __future__ import annotations

import random
from functools import partial
from pathlib import Path

import pytest

from reviewer.analysis.conduction.states import loads_of, needs, rests_on
from reviewer.model.design import Design
from reviewer.model.function_tree import MOST_LEVELS, levels_of
from reviewer.reading import Unreadable
from reviewer.session import review_facts
from tests.analysis.small_designs import SmallDesign
from tests.counted_calls import calls_of


def plain_loads(design: Design, name: str) -> list[str]:
    """The loads of a function, by what the word means: those of its channels, one after the other."""
    if name not in design.functions:
        return [name]
    return list(dict.fromkeys(load for c in design.functions[name].of for load in plain_loads(design, c)))


def plain_within(design: Design, name: str) -> set[str]:
    found = set(design.functions[name].of) if name in design.functions else set()
    return found.union(*(plain_within(design, c) for c in found))


def plain_lost_with(design: Design, name: str, lost: str) -> bool:
    """Whether one thing alone, if it is lost, loses a function that has need of all its channels."""
    if name == lost:
        return True
    if name not in design.functions:
        return False
    function = design.functions[name]
    return function.any == len(function.of) and any(plain_lost_with(design, c, lost) for c in function.of)


def of_functions(*functions: tuple[str, list[str], int]) -> SmallDesign:
    made = SmallDesign()
    for load in ("a", "b", "c", "d"):
        made.load(load, made.protector(f"{load}-breaker"))
    for name, channels, enough in functions:
        made.function(name, *channels, any=enough)
    return made


@pytest.mark.parametrize("seed", range(20))
def test_loads_and_channels_are_those_that_the_words_mean(seed: int) -> None:
    rng, names = random.Random(seed), ["a", "b", "c", "d"]
    functions = []
    for i in range(8):
        channels = rng.sample(names, rng.randint(1, 3))
        functions.append((f"f{i}", channels, rng.randint(1, len(channels))))
        names.append(f"f{i}")
    rng.shuffle(functions)
    design = of_functions(*functions).facts().design
    for outer in design.functions:
        assert list(loads_of(design, outer)) == plain_loads(design, outer)
        for inner in names:
            assert rests_on(design, outer, inner) == (inner in plain_within(design, outer))
            if inner != outer:
                assert needs(design, outer, inner) == plain_lost_with(design, outer, inner)


def ladder(levels: int) -> list[tuple[str, list[str], int]]:
    """Two functions a level, each of both below: twice as many ways down with every level."""
    found = [("left-1", ["a", "b"], 1), ("right-1", ["c", "d"], 1)]
    for i in range(2, levels + 1):
        found += [(f"{side}-{i}", [f"left-{i - 1}", f"right-{i - 1}"], 1) for side in ("left", "right")]
    return found


def calls_of_a_review(levels: int) -> int:
    """How many functions a review of a ladder calls."""
    facts = of_functions(*ladder(levels)).facts()
    return calls_of(partial(review_facts, facts, Path("ladder.yaml")))


def test_functions_that_share_channels_in_levels_are_looked_at_once() -> None:
    """A million ways lead down twenty levels, 32 down five."""
    calls_of_a_review(1)  # what a process reads once
    assert calls_of_a_review(MOST_LEVELS) < 3 * calls_of_a_review(5)


def chain(count: int, last: str) -> SmallDesign:
    return of_functions(*((f"f{i}", [f"f{i + 1}" if i < count else last], 1) for i in range(1, count + 1)))


def said(made: SmallDesign) -> list[str]:
    try:
        made.facts()
    except Unreadable as error:
        return [p.message for p in error.problems]
    return []


def test_more_levels_than_the_reviewer_follows_are_refused_with_the_number() -> None:
    assert said(chain(MOST_LEVELS, "a")) == []
    for count in (MOST_LEVELS + 1, 400):
        (message,) = said(chain(count, "a"))
        name = f"f{count - MOST_LEVELS}"
        assert message == (
            f"function {name} is level 21 of functions in functions; a design may have 20 levels"
        )


def test_functions_in_a_circle_are_refused_however_many() -> None:
    for count in (1, 2, 300):
        messages = said(chain(count, "f1"))
        assert len(messages) == count and all("depends on itself: f" in m for m in messages)
        assert max(map(len, messages)) < 200


def test_levels_count_from_the_loads() -> None:
    functions = of_functions(*ladder(3)).facts().design.functions
    assert levels_of(functions) == {f"{side}-{i}": i for i in (1, 2, 3) for side in ("left", "right")}
