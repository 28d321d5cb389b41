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

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
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


#: a light that is on in the landing alone and a pump that is never on, no current of either given
OFF = """
format: 1
aircraft: {name: Two phases, nominal: 14 V, airframe: metal, stage: concept, min-temperature: 0 C}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 24 Ah}
  alternator: {kind: alternator, rating: 40 A, set-point: 14.2 V}
  main-bus: {kind: bus}
  ground: {kind: ground-block}
  radio: {kind: instrument, current: 1.5 A, minimum: 10 V}
  light-switch: {kind: switch, positions: {off: [], on: [[line, load]]}}
  light: {kind: load, type: lamp}
  pump-switch: {kind: switch, positions: {off: [], on: [[line, load]]}}
  pump: {kind: load, type: motor}
circuits:
  charge: alternator.output > main-bus > battery.positive
  field: main-bus > alternator.field
  returns: alternator.ground > ground > battery.negative
  radio-feed: main-bus > radio > ground
  light-feed: main-bus > light-switch > light > ground
  pump-feed: main-bus > pump > pump-switch > ground
operation:
  normal: cruise
  states:
    cruise: {engine: running, switches: {light-switch: off, pump-switch: off}}
    landing: {engine: running, switches: {light-switch: on, pump-switch: off}}
  phases: {flight: {state: cruise, duration: 60 min}, approach: {state: landing, duration: 10 min}}
"""


def lacking(content: str) -> dict[str, str]:
    """What the load analysis asks for in each phase, "" where nothing."""
    own = Facts(read_text(content, "two-phases.design.yaml"))
    found = {}
    for flown in own.points.flown:
        try:
            own.endurance.phase_load(flown)
            found[flown.phase or ""] = ""
        except NotAssessable as missing:
            found[flown.phase or ""] = missing.needs
    return found


def test_the_load_analysis_needs_no_current_of_what_is_off_in_the_phase() -> None:
    assert lacking(OFF) == {"flight": "", "approach": "`current` of light"}
    stated = OFF.replace("type: lamp}", "type: lamp, current: {approach: 8 A}}")
    assert lacking(stated) == {"flight": "", "approach": ""}
    turned_on = stated.replace("pump-switch: off", "pump-switch: on")
    assert lacking(turned_on) == dict.fromkeys(("flight", "approach"), "`current` of pump")


def test_what_is_off_but_has_volts_by_another_path_needs_its_current() -> None:
    """A lamp whose return goes to the supply of the light has the bus across it, through the light."""
    lamp = OFF.replace("type: lamp}", "type: lamp, current: 8 A}").replace(
        "circuits:\n",
        "  extra: {kind: load, type: lamp}\ncircuits:\n  odd: main-bus > extra > light-switch.load\n",
    )
    assert lacking(lamp)["flight"] == "`current` of extra"
    behind = lamp.replace("odd: main-bus > extra > light", "odd: light-switch.load > extra > ground\n  #")
    assert lacking(behind) == {"flight": "", "approach": "`current` of extra"}


@pytest.mark.parametrize("current", ["{approach: 8 A}", "{flight: 0 A, approach: 8 A}"])
def test_what_a_failure_turns_on_draws_what_it_draws_when_on(current: str) -> None:
    """The switch of the light stays on in cruise, where the light is off and has no current."""
    own = Facts(read_text(OFF.replace("type: lamp}", f"type: lamp, current: {current}}}"), "design.yaml"))
    stays = next(f for f in own.states.answer("cruise").stuck_contacts if f.element == "parts/light-switch")
    sound = own.points.operating_point("cruise", "flight").taken["parts/light"]
    stuck = own.points.operating_point("cruise", "flight", (stays,)).taken["parts/light"]
    assert sound == 0 and stuck == pytest.approx(8, abs=0.5)


def test_what_is_on_and_draws_nothing_in_its_phase_draws_nothing_under_a_failure_either() -> None:
    standby = OFF.replace("current: 1.5 A", "current: {flight: 0 A, approach: 1.5 A}")
    own = Facts(read_text(standby, "design.yaml"))
    point = own.points.operating_point("cruise", "flight", (Failure("parts/light", OPEN),))
    assert point.taken["parts/radio"] == 0
