"""What an effect says of a load is what `solve` answers with the same failure, load by load.

A load that loses power has next to no volts; one that is low has less than its minimum in some phase; of a
load that is not named nothing changed: it keeps its minimum where it was on, and has no volts where it was off.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.network.graph import bare
from reviewer.questions.effects import Effect, effects_of, worst_outcome
from reviewer.reading import read_text
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import realistic
from tests.thinned import some_of, thinned

ROOT = Path(__file__).parent.parent
BENCH = ROOT / "tests" / "answers" / "bench.design.yaml"
#: volts that a load without a minimum must have to be on, and that one without power may have
ON_V = 1.0


def disagreements(facts: Facts, state: str, step: int = 1) -> Iterator[str]:
    """Of all failures, or of every so many."""
    answer = facts.states.answer(state)
    phases = [flown.phase for flown in facts.points.flown_in([state])] or [None]
    sound = [facts.points.operating_point(state, phase) for phase in phases]
    for effect in thinned(effects_of(facts, state).effects, step):
        case = worst_outcome(facts, answer, [effect.failure])
        if case != (effect.failure,) or effect.unsettled:  # another outcome of it is solved
            continue
        # as `solve` does: a relay with too few volts at its coil drops out
        case = failures_of(answer.conducting_after((case,)).cases[0])
        points = [facts.points.operating_point(state, phase, case) for phase in phases]
        for consumer in facts.network.consumers:
            element = consumer.element
            if any(element in point.undrawn for point in (*sound, *points)) or drawn(facts, element) is None:
                continue  # the file gives no current
            volts = [point.across.get(element, 0.0) for point in points]
            minimum = facts.design.parts[bare(element)].minimum or ON_V
            was_on = bool(answer.healthy.powered[element])
            was_low = was_on and min(point.across.get(element, 0.0) for point in sound) < minimum
            if was_low and element not in (*effect.loads, *effect.low, *effect.newly_powered):
                continue  # it has too little with nothing failed
            if not as_said(effect, element, volts, minimum, was_on):
                yield f"{state}, {effect.failure.element} {effect.words}: {element} has {volts} V"


def drawn(facts: Facts, element: str) -> object:
    return facts.design.parts[bare(element)].current


def as_said(effect: Effect, element: str, volts: list[float], minimum: float, was_on: bool) -> bool:
    if element in effect.loads:
        return max(volts) <= max(minimum / 2, ON_V)
    if element in effect.low:
        return min(volts) < minimum
    if element in effect.newly_powered:
        return max(volts) >= min(minimum / 2, ON_V)
    return min(volts) >= minimum - 1e-3 if was_on else max(volts) <= max(minimum, ON_V)


DRAWINGS = [
    "examples/tourer.design.yaml",
    "tests/aircraft/glider-two-batteries.design.yaml",
    "tests/aircraft/small-generator.design.yaml",
    "tests/aircraft/magneto-metal.design.yaml",
    "tests/aircraft/injected-auto-pump.design.yaml",
    "examples/faulted-tourer.design.yaml",
]


@pytest.mark.parametrize(
    "path",
    [
        BENCH,
        *(pytest.param(ROOT / name, marks=pytest.mark.long) for name in some_of(DRAWINGS, DRAWINGS[:4])),
    ],
    ids=lambda path: path.name.partition(".")[0],
)
def test_each_load_has_the_volts_that_the_effects_say(path: Path) -> None:
    facts = Facts(read_text(path.read_text(encoding="utf-8"), path.name))
    step = 1 if path == BENCH else 2
    assert list(disagreements(facts, facts.states.operation.normal, step)) == []


#: drawings with some of their states; with REVIEWER_STATES=all all that they declare, of all drawings, which takes an hour
OTHER_STATES = {
    "tests/answers/bench.design.yaml": ("smoke-drill", "before-start", "parked", "cranking"),
    "tests/aircraft/glider-two-batteries.design.yaml": ("saving",),
    "tests/aircraft/small-generator.design.yaml": ("restart-in-flight", "smoke"),
}


@pytest.mark.long
@pytest.mark.parametrize("name", OTHER_STATES)
def test_so_it_is_in_states_other_than_the_normal_one(name: str) -> None:
    facts = Facts(read_text((ROOT / name).read_text(encoding="utf-8"), name))
    assert [d for state in OTHER_STATES[name] for d in disagreements(facts, state)] == []


@pytest.mark.long
@pytest.mark.parametrize(
    ("seed", "states"), [(2, ("alternator-off", "master-off")), (1, ("master-off", "parked"))]
)
def test_so_it_is_in_a_generated_drawing(seed: int, states: tuple[str, ...]) -> None:
    facts = Facts(realistic(60, seed, dress(seed, 0.0)))
    assert [d for state in states for d in disagreements(facts, state)] == []


if os.environ.get("REVIEWER_STATES") == "all":

    @pytest.mark.long
    def test_so_it_is_in_every_declared_state() -> None:
        """It takes an hour, and is there where it is asked for."""
        found = []
        every = [
            *(ROOT / "examples").glob("*.design.yaml"),
            *(ROOT / "tests/aircraft").glob("*.design.yaml"),
            BENCH,
        ]
        drawn_ones = [Facts(read_text(path.read_text(encoding="utf-8"), path.name)) for path in every]
        made = [
            Facts(realistic(parts, seed, dress(seed, 0.0))) for parts, seed in ((60, 1), (60, 2), (90, 3))
        ]
        for facts in (*drawn_ones, *made):
            for state in facts.states.declared:
                try:
                    found += disagreements(facts, state)
                except NotAssessable:  # as of a concept
                    continue
        assert found == []


def test_solar_power_alone_leaves_loads_of_minor_functions_low_and_a_battery_does_not() -> None:
    content = (ROOT / "tests/aircraft/glider-two-batteries.design.yaml").read_text(encoding="utf-8")
    by_failure = {
        (effect.failure.element, effect.words): effect
        for effect in effects_of(Facts(read_text(content, "glider.design.yaml"))).effects
    }
    alone, without = by_failure["parts/battery-1-fuse", "open"], by_failure["parts/solar-fuse", "open"]
    assert "parts/radio" in alone.low and "communication" in dict(alone.functions)
    assert without.low == () and "communication" not in dict(without.functions)
