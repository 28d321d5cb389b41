"""Magnetos in what a person asks of a design: they fire, are grounded by something, and stay hot after a failure."""

from __future__ import annotations

import json
from collections.abc import Mapping

import pytest

from reviewer.analysis.detection.hot_magnetos import UnseenHot
from reviewer.analysis.facts import Facts
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.fail import fail_of
from reviewer.questions.handover import HandoverAnswers
from reviewer.questions.scenes import items_of, state_view
from reviewer.questions.trace import trace_of
from reviewer.reading import read_text
from reviewer.reading.problem import Unreadable
from reviewer.reports.checklists.words import card_lines
from reviewer.reports.effects.words import local_effect
from reviewer.reports.trace_text import trace_text
from tests.edits import edited
from tests.rule_cases import BASES, parsed, text


def design(edits: Mapping[str, object] = {}) -> Facts:
    return Facts(read_text(text(edited(parsed(BASES / "magnetos.yaml"), dict(edits))), "magnetos.yaml"))


@pytest.fixture(scope="module")
def facts() -> Facts:
    return design()


def effect(facts: Facts, name: str, mode: str, state: str | None = None) -> str:
    (one,) = [e for e in fail_of(facts, name, mode, state).effects if not e.failure.nodes or mode != "open"]
    return local_effect(one)


def test_a_grounded_p_lead_stops_its_magneto_and_an_open_one_does_nothing_in_flight(facts: Facts) -> None:
    assert effect(facts, "I1", "shorted-to-ground") == "left-magneto is grounded"
    assert effect(facts, "I1", "open") == "none"
    assert effect(facts, "left-magneto", "open") == "left-magneto fires no more"


def test_parked_it_leaves_the_magneto_hot(facts: Facts) -> None:
    assert effect(facts, "I1", "open", "parked") == "left-magneto is no longer grounded"
    said = effect(facts, "ignition-switch", "open", "parked")
    assert said == "left-magneto, right-magneto are no longer grounded"


def test_a_trace_says_whether_it_fires_and_what_grounds_it(facts: Facts) -> None:
    said = trace_text("magnetos.yaml", facts.design, trace_of(facts, "left-magneto"))
    assert "In cruise and on-left: fires." in said
    assert "In off-at-idle, on-right and parked: grounded." in said
    assert "left-magneto -> I1 -> ignition-switch -> I3 -> structure -> P2 -> engine" in said
    hot = design({"remove": ["wires/I1"]})
    said = trace_text("magnetos.yaml", hot.design, trace_of(hot, "left-magneto", "parked"))
    assert "not grounded: it fires as soon as the engine is turned" in said


def test_a_severed_bundle_grounds_the_p_leads_in_it_in_flight_and_frees_them_when_parked() -> None:
    both = design({"wires/I2/bundle": "left-p-lead"})
    (flying,) = fail_of(both, "left-p-lead", "severed").effects
    assert flying.silenced == ("parts/left-magneto", "parts/right-magneto")
    assert [name for name, _ in flying.functions] == ["ignition"]
    (parked,) = fail_of(both, "left-p-lead", "severed", "parked").effects
    assert parked.hot == ("parts/left-magneto", "parts/right-magneto") and not parked.silenced


def test_the_page_has_its_channels_that_fire(facts: Facts) -> None:
    items = items_of(facts.network, [])
    assert items.powered == ("parts/left-magneto", "parts/right-magneto")
    view = state_view(facts.states.answer("cruise"), items)
    first = len(items.sources) * len(items.nodes)
    assert {first, first + 1} <= set(view.healthy)


def test_the_folder_speaks_of_it(facts: Facts) -> None:
    answers = HandoverAnswers(facts)
    assert answers.effects is not None
    grounded = [e for e in answers.effects.effects if e.silenced]
    assert {e.failure.element for e in grounded} >= {"parts/left-magneto", "wires/I1"}


def test_what_no_check_shows_is_found_with_how_the_p_lead_is_grounded() -> None:
    blind = design({"remove": ["watch"]})
    found = blind.detection.unseen_hot("left-magneto")
    assert isinstance(found, UnseenHot)
    assert {f.element for f in found.failures} == {"wires/I1", "wires/I3", "parts/ignition-switch"}
    assert found.path[:2] == ("parts/left-magneto", "wires/I1") and found.state == "parked"


@pytest.mark.parametrize(
    ("edits", "words"),
    [
        ({"operation/states/parked/silent": ["left-magnet"]}, "there is no magneto `left-magnet`"),
        ({"operation/states/parked/silent": ["main-battery"]}, "`main-battery` is a battery, not a magneto"),
        (
            {"functions/ignition/of": ["ignition-switch"]},
            "a channel is a load, an instrument, a magneto, a source, a bus or a function",
        ),
        ({"wires/I1/from": "left-magneto.lead"}, "left-magneto has no terminal `lead`"),
        ({"parts/left-magneto/rating": "2 A"}, "has no key `rating`"),
    ],
)
def test_a_mistake_is_told_in_one_sentence(edits: dict[str, object], words: str) -> None:
    with pytest.raises(Unreadable) as refused:
        read_text(json.dumps(edited(parsed(BASES / "magnetos.yaml"), edits)), "magnetos.yaml")
    assert len(refused.value.problems) == 1 and words in refused.value.problems[0].message


def test_the_parts_of_a_reserve_are_no_magnetos() -> None:
    with pytest.raises(Unreadable, match="1 mistake"):
        design({"parts/main-battery/dedicated-to": ["left-magneto"]})


def test_a_card_of_magnetos_that_an_ignition_switch_grounds_begins_with_setting_it() -> None:
    """Only where nothing else gives the signs: of one magneto its p-lead may be the cause as well."""
    found = checklists(TroubleShooting(design())).cards
    both = [c for c in found if {f.element for f in c.outcomes} == {"parts/ignition-switch"} and c.lost]
    assert both and all(card.misplaced == (("ignition-switch", "both"),) for card in both)
    (first, *_) = [line.text for line in card_lines(design().design, both[0]) if line.head == "DO"]
    assert first.startswith("If ") and " is not at BOTH: " in first
    others = [c for c in found if "wires/I1" in {f.element for f in c.outcomes}]
    assert others and not any(card.misplaced for card in others)
