"""A load's current in each phase is as good as one current: no rule stumbles over it.

The same figure for every phase says what one figure says. So does the current of the starter for
the phase of the start alone.
"""

from __future__ import annotations

import copy
from collections.abc import Collection
from functools import cache
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import Unreadable, read_text
from tests.rule_cases import ROOT, parsed, text
from tests.verdicts import verdicts

TOURER = parsed(ROOT / "examples/tourer.design.yaml")
PHASES = tuple(TOURER["operation"]["phases"])


def by_phase(phases: Collection[str], of: Collection[str]) -> dict[str, Any]:
    """The tourer with the currents of some loads written for some phases."""
    data = copy.deepcopy(TOURER)
    for name in of:
        current = data["parts"][name]["current"]
        data["parts"][name]["current"] = dict.fromkeys(phases, current)
    return data


def all_verdicts(data: dict[str, Any]) -> dict[str, list[Any]]:
    """The verdicts of all rules, none of which may fail."""
    return verdicts(read_text(text(data), "tourer"))


@cache
def as_drawn() -> dict[str, list[Any]]:
    return all_verdicts(TOURER)


@pytest.mark.long
def test_a_current_for_every_phase_of_every_load_is_judged_as_one_current() -> None:
    loads = [n for n, part in TOURER["parts"].items() if isinstance(part.get("current"), str)]
    assert len(loads) > 20
    found = all_verdicts(by_phase(PHASES, loads))
    # a current in a phase says that the load is on then, which some are not as drawn
    power = "loads-have-power-in-the-phases-of-their-current"
    states = Facts(read_text(text(TOURER), "tourer")).states
    off = [(load, state) for rule, load, state, _ in found["findings"] if rule == power]
    assert off and not any(states.answer(state).healthy.powered[load] for load, state in off)
    found["findings"] = [f for f in found["findings"] if f[0] != power]
    assert found == as_drawn()


@pytest.mark.parametrize(
    "others",
    [{}, pytest.param(dict.fromkeys(PHASES[1:], "0 A"), marks=pytest.mark.long)],
    ids=["left out", "0 A"],
)
def test_a_starter_has_its_current_in_the_phase_of_the_start_alone(others: dict[str, str]) -> None:
    data = by_phase(PHASES[:1], ["starter"])
    data["parts"]["starter"]["current"] |= others
    assert all_verdicts(data) == as_drawn()


def test_a_load_needs_no_figure_for_a_phase_in_which_it_is_off() -> None:
    facts = Facts(read_text(text(TOURER), "tourer"))
    phases = facts.states.operation.phases
    data = copy.deepcopy(TOURER)
    changed = 0
    for name, part in data["parts"].items():
        if not isinstance(part.get("current"), str):
            continue
        on = [n for n in PHASES if facts.states.answer(phases[n].state).healthy.powered[f"parts/{name}"]]
        if on and len(on) < len(PHASES):
            part["current"] = dict.fromkeys(on, part["current"])
            changed += 1
    assert changed > 8
    assert all_verdicts(data) == as_drawn()


def test_a_state_takes_the_load_currents_of_the_phase_that_it_names() -> None:
    """In no phase the largest currents hold; ``like`` hands the named phase on."""
    data = by_phase(PHASES, ["pitot-heater"])
    data["parts"]["pitot-heater"]["current"] |= {"cruise": "2 A"}
    states = data["operation"]["states"]
    states["largest"] = {"like": "cruise", "use": "abnormal"}
    states["named"] = {"like": "cruise", "use": "abnormal", "currents-of": "cruise"}
    states["handed-on"] = {"like": "named"}
    facts = Facts(read_text(text(data), "tourer"))
    taken = {
        name: facts.points.operating_point(name).taken["parts/pitot-heater"]
        for name in ("largest", "named", "handed-on")
    }
    whole = facts.points.operating_point("cruise", "cruise").taken["parts/pitot-heater"]
    assert taken["named"] == taken["handed-on"] == pytest.approx(whole)
    assert taken["largest"] > 2 * whole


def test_an_unknown_phase_is_one_mistake_with_the_nearest_name() -> None:
    data = copy.deepcopy(TOURER)
    data["operation"]["states"]["cruise"]["currents-of"] = "cruize"
    with pytest.raises(Unreadable) as caught:
        read_text(text(data), "tourer")
    (problem,) = caught.value.problems
    assert "cruise" in str(problem)
