"""What a short to ground of a switched return runs."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.questions.fail import fail_of
from reviewer.reports.effects.words import local_effect
from tests.analysis.small_designs import SmallDesign


def pumped(in_return: bool, chain: list[tuple[str, str]] | None = None) -> SmallDesign:
    """A fuel pump, switched in its return or in its feed, and off."""
    made = SmallDesign()
    made.add("switch", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.add("pump", "load", type="motor")
    switch = [("switch.line", "switch.load")]
    made.run("bus", [] if in_return else switch, "pump.supply")
    made.run("pump.return", [*(chain or []), *(switch if in_return else [])], "ground")
    made.function("fuel", "pump")
    return made


def runs(facts: Facts) -> list[tuple[str, set[str]]]:
    return [(u.element, {s.element for s in u.shorts}) for u in facts.switches.uncommanded]


def test_a_pump_that_is_switched_in_its_return_runs_and_one_that_is_switched_in_its_feed_does_not() -> None:
    ((pump, shorts),) = runs(pumped(True).facts(switches={"switch": "off"}))
    assert pump == "parts/pump" and {"parts/pump", "parts/switch"} < shorts
    assert runs(pumped(False).facts(switches={"switch": "off"})) == []


def test_a_pump_that_is_on_is_commanded() -> None:
    assert runs(pumped(True).facts(switches={"switch": "on"})) == []


def test_a_diode_lets_the_current_to_a_short_one_way_only() -> None:
    onward = pumped(True, [("diode.anode", "diode.cathode")])
    onward.add("diode", "diode")
    ((_, shorts),) = runs(onward.facts(switches={"switch": "off"}))
    assert {"parts/pump", "parts/switch"} < shorts
    back = pumped(True, [("diode.cathode", "diode.anode")])
    back.add("diode", "diode")
    ((_, shorts),) = runs(back.facts(switches={"switch": "off"}))
    assert "parts/switch" not in shorts and "parts/pump" in shorts


@pytest.mark.parametrize(("switch", "told"), [("off", "pump is powered uncommanded"), ("on", "")])
def test_the_effects_of_a_failure_say_that_it_runs_uncommanded(switch: str, told: str) -> None:
    facts = pumped(True).facts(switches={"switch": switch})
    effects = [e for e in fail_of(facts, "switch", "shorted-to-ground").effects if "switch.line" in e.words]
    assert [local_effect(e) for e in effects] == ([told] if told else [])
