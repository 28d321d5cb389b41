"""A switch that no hand moves turns something on without a failure."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.questions.checklists import checklists_of
from reviewer.reports.checklists.words import card_lines
from tests.analysis.small_designs import SmallDesign, cruise


def bilge(states: dict[str, Any] | None = None, **fields: str) -> Facts:
    """A pump and its lamp behind a switch with two positions, which is dry and moves as ``fields`` say."""
    made = SmallDesign()
    made.add(
        "float", "switch", positions={"dry": [], "wet": [["line", "load"]]}, **{"at-rest": "dry", **fields}
    )
    made.add("joint", "splice")
    made.run("bus", [("float.line", "float.load")], "joint.in")
    for name, kind in (("pump", "motor"), ("lamp", "lamp")):
        made.load(name, start="joint", type=kind)
    made.function("bilge", "pump")
    facts = made.facts(switches={"float": "dry"})
    if not states:
        return facts
    made.states.update(states)
    return made.facts(switches={"float": "dry"})


@pytest.mark.parametrize(
    ("fields", "waits"),
    [({"operated-by": "level"}, True), ({"operated-by": "voltage"}, False)],
)
def test_a_pump_waits_for_its_float_and_not_for_a_relay_of_voltage(
    fields: dict[str, str], waits: bool
) -> None:
    facts = bilge(**fields)
    answer = cruise(facts)
    assert facts.states.waits_for_its_sensor(answer, "bilge") is waits
    assert facts.states.powered_by_sensors(answer, ["pump", "lamp"]) == ((("float", "wet"),) if waits else ())


@pytest.mark.parametrize(
    ("operated", "at", "waits"),
    [("pressure", "dry", True), ("pressure", "wet", False), ("flow", "wet", False), ("level", "wet", True)],
)
def test_a_switch_that_the_engine_moves_is_where_each_state_says(operated: str, at: str, waits: bool) -> None:
    facts = bilge(**{"operated-by": operated}, states={"rain": {"like": "cruise", "switches": {"float": at}}})
    assert facts.states.waits_for_its_sensor(facts.states.answer("cruise"), "bilge") is waits


@pytest.mark.parametrize("arming", ["off", "armed"])
def test_a_horn_waits_for_switches_in_series_once_it_is_armed(arming: str) -> None:
    made = SmallDesign()
    ends = {"off": [], "armed": [["line", "load"]]}
    made.add("arm", "switch", positions=ends)
    open_closed = {"open": [], "closed": [["line", "load"]]}
    for name, kind in (("throttle", "limit"), ("gear", "gear")):
        made.add(name, "switch", positions=open_closed, **{"operated-by": kind, "at-rest": "open"})
    made.add("joint", "splice")
    series = [(f"{name}.line", f"{name}.load") for name in ("arm", "throttle", "gear")]
    made.run("bus", series, "joint.in")
    made.load("horn", start="joint")
    made.function("warning", "horn")
    facts = made.facts(switches={"arm": arming, "throttle": "open", "gear": "open"})
    assert facts.states.waits_for_its_sensor(cruise(facts), "warning") is (arming == "armed")


def test_what_is_on_already_and_what_the_float_does_not_feed_needs_no_sensor() -> None:
    made = SmallDesign()
    made.load("radio")
    facts = made.facts()
    assert facts.states.powered_by_sensors(cruise(facts), ["radio"]) == ()
    assert facts.states.powered_by_sensors(cruise(facts), []) == ()


@pytest.mark.parametrize(("operated", "said"), [("level", True), ("voltage", False)])
def test_the_card_of_a_pump_that_runs_says_that_its_float_may_have_risen(operated: str, said: bool) -> None:
    facts = bilge(**{"operated-by": operated})
    cards = [card for card in checklists_of(facts, "cruise").cards if card.by > 0]
    means = [line.text for card in cards for line in card_lines(facts.design, card) if line.head == "MEANS"]
    assert means and all(("no failure: float at wet" in text) is said for text in means)
