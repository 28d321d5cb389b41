"""What needs no electricity and is driven by one of several engines."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.model.resolved_states import resolved
from reviewer.reading import Unreadable
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import solve, working

ENGINES = ["left-engine", "right-engine"]


def pumps(left: str, right: str, **keys: Any) -> SmallDesign:
    """A pump on each of two engines, and one on whichever runs; ``keys`` are put into the entry of the left one."""
    made = SmallDesign()
    made.load("radio")
    made.more["aircraft"] = {"engines": ENGINES}
    for side in ("left", "right"):
        entry = {"mechanical": f"{side}-pump", "driven-by": f"{side}-engine"}
        entry |= {k.replace("_", "-"): v for k, v in keys.items()} if side == "left" else {}
        of = [{k: v for k, v in entry.items() if v is not None}]
        made.functions[f"{side}-fuel"] = {"any": 1, "of": of, "loss": "major"}
    made.functions["vacuum"] = {"any": 1, "of": [{"mechanical": "vacuum-pump"}], "loss": "minor"}
    made.functions["gear"] = {"any": 1, "of": [{"mechanical": "crank", "driven-by": "hand"}], "loss": "major"}
    made.states["cruise"] = {"engine": dict(zip(ENGINES, (left, right), strict=True)), "switches": {}}
    return made


@pytest.mark.parametrize(
    ("left", "right", "on"),
    [
        ("running", "running", {"left-fuel", "right-fuel", "vacuum", "gear"}),
        ("running", "stopped", {"left-fuel", "vacuum", "gear"}),
        ("stopped", "running", {"right-fuel", "vacuum", "gear"}),
        ("cranking", "running", {"right-fuel", "vacuum", "gear"}),
        ("cranking", "stopped", {"gear"}),
        ("stopped", "stopped", {"gear"}),
    ],
)
def test_it_works_while_its_own_engine_runs(left: str, right: str, on: set[str]) -> None:
    facts = pumps(left, right).facts()
    state = resolved(facts.design.operation)["cruise"]
    plain = working(facts.design, solve(circuit_of(facts.design), state).powered)
    assert {name for name, yes in plain.items() if yes} == on
    assert {name for name, yes in cruise(facts).alive.items() if yes} == on


def test_it_fails_by_itself_and_loses_its_own_function() -> None:
    answer = cruise(pumps("running", "running").facts())
    lost = Failure("parts/left-pump", Mode.OPEN)
    assert lost in answer.losing("left-fuel") and lost not in answer.losing("right-fuel")


@pytest.mark.parametrize(
    ("keys", "engines", "said"),
    [
        ({"driven_by": "left-engin"}, ENGINES, "(did you mean `left-engine`?)"),
        (
            {"mechanical": "right-pump"},
            ENGINES,
            "another function names `right-pump` with another `driven-by`",
        ),
    ],
)
def test_a_mistake_in_what_drives_it_is_told_once(
    keys: dict[str, Any], engines: list[str], said: str
) -> None:
    with pytest.raises(Unreadable) as caught:
        pumps("running", "running", **keys).facts()
    (problem,) = caught.value.problems
    assert said in problem.message


@pytest.mark.parametrize(("engine", "on"), [("running", {"fuel", "gear"}), ("stopped", {"gear"})])
@pytest.mark.parametrize("by", ["hand", "air"])
def test_what_a_hand_or_the_air_drives_needs_no_engine_of_one_either(
    by: str, engine: str, on: set[str]
) -> None:
    made = SmallDesign()
    made.load("radio")
    made.functions["fuel"] = {"any": 1, "of": [{"mechanical": "pump"}], "loss": "major"}
    made.functions["gear"] = {"any": 1, "of": [{"mechanical": "crank", "driven-by": by}], "loss": "major"}
    made.states["cruise"] = {"engine": engine, "switches": {}}
    facts = made.facts()
    plain = working(
        facts.design, solve(circuit_of(facts.design), resolved(facts.design.operation)["cruise"]).powered
    )
    assert {name for name, yes in plain.items() if yes} == on
    assert {name for name, yes in cruise(facts).alive.items() if yes} == on


@pytest.mark.parametrize("word", ["hand", "air"])
def test_no_engine_is_called_hand_or_air(word: str) -> None:
    made = SmallDesign()
    made.load("radio")
    made.more["aircraft"] = {"engines": [word, "right-engine"]}
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert f"`{word}` is what drives something without an engine" in caught.value.problems[0].message


def test_an_aircraft_of_one_engine_names_none() -> None:
    made = SmallDesign()
    made.load("radio")
    entry = {"mechanical": "pump", "driven-by": "left-engine"}
    made.functions["fuel"] = {"any": 1, "of": [entry], "loss": "major"}
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert "the aircraft has no `engines`" in caught.value.problems[0].message
