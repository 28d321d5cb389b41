"""A function of class minor that a failure leaves with too few volts is lost on its card, and what gives it its volts back restores it."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.checklists import checklists_of
from reviewer.questions.effects import effects_of
from reviewer.questions.solve import solved_of
from tests.analysis.small_designs import SmallDesign

#: by hand: with its feed open the second bus has the V of V x (12.6 - V) / 0.25 ohm = 126 W, 9.2 V; with the
#: heater off of 42 W, 11.7 V
FIRST_OPEN = Failure("parts/first", OPEN)
MONITORS = {"second-volts": {"shows": "voltage", "senses": "second-bus.volts"}}


def drawn(minimum: str, switched: bool = True, heater: str = "6 A") -> Facts:
    """An autopilot and a heater on a bus with two feeds, the second of 0.25 ohm."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    made.add("second-bus", "bus")
    made.run("bus", [made.protector("first", "breaker")], "second-bus")
    made.run("bus", [made.protector("second", "fuse")], "second-bus")
    made.wires[f"W{len(made.wires)}"]["resistance"] = "0.25 ohm"
    made.load("ap-computer", start="second-bus", current="3 A", type="electronic", minimum=minimum)
    chain = [made.switch("heater-switch")] if switched else []
    made.load("heater", *chain, start="second-bus", current=heater, type="electronic")
    made.function("autopilot", "ap-computer", loss="minor")
    made.more["watch"] = {"monitors": MONITORS}
    if switched:
        made.more["operation"] = {"actions": {"shed": {"move": {"heater-switch": "off"}}}}
    return made.facts()


def card_of_first(facts: Facts) -> ChecklistCard:
    return next(card for card in checklists_of(facts).cards if FIRST_OPEN in card.outcomes)


@pytest.mark.parametrize(("minimum", "lost"), [("10 V", True), ("8 V", False)])
def test_a_card_tells_it_lost_and_what_restores_it(minimum: str, lost: bool) -> None:
    facts = drawn(minimum)
    card = card_of_first(facts)
    assert [f for f, _ in card.lost] == (["autopilot"] if lost else [])
    assert [step.restores for step in card.steps] == ([("autopilot",)] if lost else [])
    assert card.left == ()


@pytest.mark.parametrize(("minimum", "lost"), [("10 V", True), ("8 V", False)])
def test_where_no_move_restores_it_it_is_left_lost(minimum: str, lost: bool) -> None:
    card = card_of_first(drawn(minimum, switched=False))
    assert list(card.left) == [f for f, _ in card.lost] == (["autopilot"] if lost else [])
    assert not any(step.restores for step in card.steps)


@pytest.mark.parametrize("switched", [True, False], ids=["as it is", "heater left out"])
def test_solve_has_the_same_volts(switched: bool) -> None:
    facts = drawn("10 V") if switched else drawn("10 V", heater="0.001 A")
    (found,) = solved_of(facts, "cruise", ["first=open"]).phases
    assert found.point is not None
    assert (found.point.volts["second-bus.1"] < 10.0) == switched


@pytest.mark.parametrize(("minimum", "lost"), [("10 V", True), ("8 V", False)])
def test_effects_and_cards_lose_the_same(minimum: str, lost: bool) -> None:
    facts = drawn(minimum)
    (effect,) = (e for e in effects_of(facts, "cruise").effects if e.failure == FIRST_OPEN)
    assert ("autopilot" in dict(effect.functions)) == lost
