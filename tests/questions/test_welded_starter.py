"""The card of a starter that does not disengage: moves that stop it, three in a row where an interlock and a function ask for two, or that none was found."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import HELD, Failure
from reviewer.analysis.facts import Facts
from reviewer.questions.checklist_cards import ChecklistCard
from reviewer.questions.checklists import checklists_of
from reviewer.reports.checklists.words import card_lines
from tests.analysis.small_designs import SmallDesign

INTERLOCK = [{"because": "A bar.", "switches": {"master": "off", "light-switch": "on"}}]


def drawn(alternate: bool = True, interlock: bool = True, radio: bool = True) -> Facts:
    """A starter behind a contactor on a bus behind a master; a radio on a bus of its own, fed by that bus or,
    by a switch, by the battery."""
    made = SmallDesign()
    made.wires["W1"]["to"] = "master.line"
    made.switch("master")
    made.wire("master.load", "bus")
    made.add(
        "contactor",
        "relay",
        coil=["plus", "minus"],
        contacts={"one": {"kind": "make", "joins": ["line", "load"]}},
    )
    made.run("bus", [made.switch("start-switch")], "contactor.plus")
    made.wire("contactor.minus", "ground")
    made.wire("bus", "contactor.line")
    made.load("starter", start="contactor.load", type="starter", duty="intermittent")
    made.add("radio-bus", "bus")
    made.add("radio-diode", "diode")
    made.run("bus", [("radio-diode.anode", "radio-diode.cathode")], "radio-bus")
    if alternate:
        made.run("battery.positive", [made.switch("alternate")], "radio-bus")
    made.load("radio", start="radio-bus")
    made.load("light", made.switch("light-switch"))
    made.function("communication", "radio", loss="major" if radio else "minor")
    made.more["operation"] = {"excluded": INTERLOCK} if interlock else {}
    off = {"start-switch": "off", "alternate": "off"}
    made.states["cruise"] = {
        "engine": "running",
        "switches": {n: off.get(n, at) for n, at in made.turned().items()},
    }
    made.more["watch"] = {"monitors": {"volts": {"shows": "voltage", "senses": "bus.volts"}}}
    return made.facts()


def stop_of(facts: Facts) -> tuple[ChecklistCard, str]:
    """The card of the contactor that is welded closed, and what it leaves."""
    welded = Failure("parts/contactor", HELD)
    card = next(c for c in checklists_of(facts).cards if welded in c.outcomes)
    (left,) = (line.text for line in card_lines(facts.design, card) if line.head == "LEFT")
    return card, left


def test_three_moves_stop_it_where_an_interlock_and_the_radio_ask_for_two_of_them() -> None:
    card, left = stop_of(drawn())
    moves = {move for step in card.steps for move in step.moves}
    assert moves == {("light-switch", "off"), ("alternate", "on"), ("master", "off")}
    assert card.steps[-1].moves == (("master", "off"),) and card.steps[-1].stops == ("parts/starter",)
    assert card.left == () and "still on" not in left


def test_without_the_alternate_feed_no_stop_is_found_and_the_card_says_how_far_it_was_sought() -> None:
    card, left = stop_of(drawn(alternate=False))
    assert not any(step.stops for step in card.steps) and card.stop_tried == 3
    assert "starter still on" in left
    lines = [line.text for line in card_lines(drawn().design, card)]
    assert any("no move, nor two or three in a row, was found that stops it" in text for text in lines)


def test_where_nothing_but_the_master_is_in_the_way_it_alone_is_turned_off() -> None:
    card, _ = stop_of(drawn(radio=False, interlock=False))
    assert [step.moves for step in card.steps] == [(("master", "off"),)]
    assert card.steps[0].stops == ("parts/starter",)
