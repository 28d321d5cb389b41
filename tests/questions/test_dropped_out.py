"""A relay that a failure leaves with too few volts at its coil has dropped out for everyone who answers: what lies behind it is dead."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.checklists import checklists_of
from reviewer.questions.diagnosis import diagnosis_of
from reviewer.questions.effects import effects_of
from reviewer.questions.fail import fail_of
from reviewer.questions.scenes import Items, state_view
from reviewer.questions.solve import solved_of
from reviewer.questions.state_signs import Look, Sign, StateSigns
from reviewer.questions.symptoms import Reported
from reviewer.questions.test_cards import cards_of
from tests.analysis.small_designs import SmallDesign, cruise

#: by hand: a coil that draws 0.2 A at 14 V has 70 ohm, and behind the second feed of the coil, of 55 ohm, 7.05 V
#: of 12.6; it drops out at 8 V. Behind 4 ohm it has 11.9 V
LOW, ENOUGH = 55.0, 4.0
FIRST_OPEN = Failure("parts/first", OPEN)


def drawn(ohms: float, coil: str = "0.2 A", minimum: str = "9 V") -> SmallDesign:
    """``second-bus`` behind a contactor whose coil has two feeds, the second of some ohms."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    made.add(
        "contactor",
        "relay",
        coil=["plus", "minus"],
        contacts={"one": {"kind": "make", "joins": ["line", "load"]}},
        **({"coil-current": coil} if coil else {}),
        **{"pickup-voltage": "10 V", "dropout-voltage": "8 V"},
    )
    made.wire("bus", "contactor.line")
    made.add("second-bus", "bus")
    made.wire("contactor.load", "second-bus")
    stated = {"minimum": minimum} if minimum else {}
    made.load("radio", start="second-bus", current="1 A", type="electronic", **stated)
    made.run("bus", [made.protector("first", "breaker")], "contactor.plus")
    made.parts["first"]["accessible"] = "in-flight"
    made.run("bus", [made.protector("second", "fuse")], "contactor.plus")
    made.wires[f"W{len(made.wires)}"]["resistance"] = f"{ohms} ohm"
    made.wire("contactor.minus", "ground")
    made.function("communication", "radio", loss="hazardous")
    made.more["watch"] = {"monitors": {"second-volts": {"shows": "voltage", "senses": "second-bus.volts"}}}
    return made


def cards_of_first(facts: Facts) -> list[ChecklistCard]:
    return [card for card in checklists_of(facts).cards if FIRST_OPEN in card.outcomes]


@pytest.mark.parametrize("minimum", ["9 V", ""], ids=["minimum", "no-minimum"])
@pytest.mark.parametrize(("ohms", "drops"), [(LOW, True), (ENOUGH, False)])
def test_a_card_says_that_the_bus_behind_a_relay_with_too_few_volts_is_dead(
    ohms: float, drops: bool, minimum: str
) -> None:
    facts = drawn(ohms, minimum=minimum).facts()
    cards = cards_of_first(facts)
    assert bool(cards) == drops
    for card in cards:
        assert card.sign == Sign(Look.UNIT, "radio") and card.by < 0
        assert [f for f, _ in card.lost] == list(card.left) == ["communication"]
    (effect,) = fail_of(facts, "first", "open").effects
    assert effect.buses == (("parts/second-bus",) if drops else ())
    assert effect.dropped_out == (("parts/contactor",) if drops else ())
    assert ("parts/radio" in effect.loads) == ("communication" in dict(effect.functions)) == drops
    points = [p for p in facts.failures.single_points.get("parts/first", ()) if FIRST_OPEN in p.failures]
    assert bool(points) == drops


@pytest.mark.parametrize(("ohms", "drops"), [(LOW, True), (ENOUGH, False)])
def test_a_monitor_reads_behind_it_what_solve_answers(ohms: float, drops: bool) -> None:
    facts = drawn(ohms).facts()
    signs = StateSigns(facts, cruise(facts), [(FIRST_OPEN,)])
    read = signs.seen(signs.monitor("second-volts"))[0]
    solved = next(p.point for p in solved_of(facts, "cruise", ["first=open"]).phases)
    assert solved is not None and solved.readings["second-volts"].value is not None and read is not None
    assert read[0] <= solved.readings["second-volts"].value <= read[1]
    assert (read[1] < 1.0) == drops and (read[0] > 11.0) == (not drops)
    assert signs.seen(Sign(Look.UNIT, "radio"))[0] == ((0.0, 0.0) if drops else (1.0, 1.0))
    # the monitor that reads none shows the failure
    (effect,) = (e for e in effects_of(facts, "cruise").effects if e.failure == FIRST_OPEN)
    assert effect.signs.monitors == (("second-volts",) if drops else ())


@pytest.mark.parametrize(("ohms", "drops"), [(LOW, True), (ENOUGH, False)])
def test_trouble_shooting_names_it_where_the_unit_behind_it_is_dark(ohms: float, drops: bool) -> None:
    found = diagnosis_of(drawn(ohms).facts(), "cruise", Reported(dark=["radio"]))
    explained = {
        case for group in found.groups if not group.against for c in group.causes for case in c.cases
    }
    assert ((FIRST_OPEN,) in explained) == drops


@pytest.mark.parametrize(("ohms", "drops"), [(LOW, True), (ENOUGH, False)])
def test_the_test_card_of_a_breaker_has_what_stops_by_it(ohms: float, drops: bool) -> None:
    facts = drawn(ohms).facts()
    cards = {card.name: card for card in cards_of(facts, effects_of(facts)).protection}
    assert ("first" in cards) == drops
    if drops:
        assert cards["first"].stopped and cards["first"].open[-1].names == ("radio",)


@pytest.mark.parametrize(("ohms", "drops"), [(LOW, True), (ENOUGH, False)])
def test_the_schematic_shows_the_bus_as_dead(ohms: float, drops: bool) -> None:
    facts = drawn(ohms).facts()
    answer = cruise(facts)
    node = facts.network.index["second-bus"]
    items = Items(("parts/battery",), (node,), (), (), ("parts/contactor",), (), ())
    view = state_view(answer, items)
    healthy = [(item, item in view.healthy) for item in range(2)]
    after = view.changes[view.failures.index(FIRST_OPEN)]
    assert healthy == [(0, True), (1, True)]  # fed, and energised
    assert (0 in after) == (1 in after) == drops


def test_a_coil_without_a_stated_current_counts_as_energised() -> None:
    """As the rules count it: how many volts it has is not known."""
    facts = drawn(LOW, coil="").facts()
    (effect,) = fail_of(facts, "first", "open").effects
    assert effect.nothing and cards_of_first(facts) == []
    assert FIRST_OPEN not in {
        f for p in facts.failures.single_points.get("parts/first", ()) for f in p.failures
    }
    signs = StateSigns(facts, cruise(facts), [(FIRST_OPEN,)])
    assert signs.seen(Sign(Look.UNIT, "radio"))[0] == (1.0, 1.0)


def test_a_coil_with_too_few_volts_with_nothing_failed_is_another_finding() -> None:
    """Both feeds have 55 ohm and more: nothing is said to drop out by a failure."""
    made = drawn(400.0)
    made.wires["W6"]["resistance"] = made.wires["W7"]["resistance"] = "200 ohm"
    facts = made.facts()
    (effect,) = fail_of(facts, "second", "open").effects
    assert effect.dropped_out == ()


def test_a_move_that_gives_the_coil_its_volts_restores_what_lies_behind_it() -> None:
    """The relay picks up again: the card has the action, and prohibits none; other causes show the same and are left."""
    made = drawn(LOW)
    made.run("bus", [made.switch("override")], "contactor.plus")
    made.more["operation"] = {"actions": {"energise": {"move": {"override": "on"}, "time": "5 s"}}}
    (card, *others) = cards_of_first(made.facts(switches=made.turned(override="off")))
    assert not others and [f for f, _ in card.lost] == ["communication"]
    assert [step.action for step in card.steps] == ["energise"]
    assert card.prohibited == ()


def test_a_move_that_leaves_it_too_few_restores_nothing() -> None:
    """By hand: a lead of 2,000 ohm beside the one of 55 ohm leaves the coil 7.1 V."""
    made = drawn(LOW)
    made.run("bus", [made.switch("override")], "contactor.plus")
    made.wires[f"W{len(made.wires)}"]["resistance"] = "2000 ohm"
    made.more["operation"] = {"actions": {"energise": {"move": {"override": "on"}, "time": "5 s"}}}
    (card, *_) = cards_of_first(made.facts(switches=made.turned(override="off")))
    assert card.steps == () and card.left == ("communication",)
