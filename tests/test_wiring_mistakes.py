"""One wiring mistake by which declared states are not as they say is found as the change that puts it right;
a state that is declared otherwise, or a terminal left open that nothing needs, is none."""

from __future__ import annotations

import math
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import Finding, FindingEvidence, HazardClass
from reviewer.reading import read_text
from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.loose_terminals import loose_terminal_wired
from reviewer.rulebook.unmet_declarations import unmet_declarations
from reviewer.rulebook.wiring_mistakes import WiringMistakes
from tests.edits import REMOVE, edited
from tests.rule_cases import ROOT, parsed, text

TOURER = "examples/tourer"
KEY = "tests/aircraft/magneto-metal"
TWO_ALTERNATORS = "tests/aircraft/28v-essential"


def facts_of(name: str, edits: dict[str, Any]) -> Facts:
    return Facts(read_text(text(edited(parsed(ROOT / f"{name}.design.yaml"), edits)), "x"))


def about(subject: str, state: str = "", failure: str = "", **evidence: Any) -> tuple[Finding, ...]:
    """A finding of some rule, as the only one of its repair."""
    return (
        Finding(
            rule="a",
            subject=subject,
            sentence="A sentence.",
            hazard=HazardClass.MAJOR,
            state=state,
            failure=failure,
            evidence=FindingEvidence(**evidence),
        ),
    )


def mistakes(facts: Facts) -> list[str]:
    """The ways to put right what is unmet, in words, as the findings about it would ask for them."""
    found = dict[str, None]()
    for unmet in sorted(unmet_declarations(facts), key=lambda one: (one.element, one.state)):
        trial = WiringMistakes(math.inf).trial("x", about(unmet.element, unmet.state), facts)
        found.update(dict.fromkeys(change_words(way, facts.design) for way in (trial.ways if trial else ())))
    return list(found)


@pytest.mark.parametrize("name", [TOURER, KEY, TWO_ALTERNATORS])
def test_a_sound_drawing_is_as_its_states_declare(name: str) -> None:
    assert not unmet_declarations(facts_of(name, {}))


@pytest.mark.parametrize(
    ("name", "edits", "words"),
    [
        (
            TOURER,
            {"parts/master/positions": {"down": [["coil", "ground"]], "up": []}},
            "Exchange the positions down and up of master.",
        ),
        (
            TOURER,
            {
                "wires/by-pass": {
                    "from": "main-contactor.coil-minus",
                    "to": "panel-ground.by-pass",
                    "gauge": "22 AWG",
                    "length": "1 m",
                }
            },
            "Remove by-pass.",
        ),
        (
            KEY,
            {"parts/ignition-switch/positions/both": [["battery", "starter"]]},
            "Leave battery and starter of ignition-switch apart in its position both.",
        ),
        (
            KEY,
            {
                "parts/ignition-switch/positions/off": [["left", "ground"]],
                "parts/ignition-switch/positions/right": [["left", "ground"], ["right", "ground"]],
            },
            "Exchange the positions off and right of ignition-switch.",
        ),
    ],
)
def test_a_mistake_at_a_contact_is_one_change(name: str, edits: dict[str, Any], words: str) -> None:
    assert mistakes(facts_of(name, edits)) == [words]


@pytest.mark.parametrize(
    "states",
    [
        {"cruise": {"position-switch": "down"}},
        {"cruise": {"master": "down", "alternator-switch": "down"}},
    ],
    ids=["a light left off", "the master left off"],
)
def test_a_state_with_its_switches_otherwise_is_no_wiring_mistake(states: dict[str, dict[str, str]]) -> None:
    """The contacts are as every other state needs them."""
    edits = {
        f"operation/states/{state}/switches/{switch}": at
        for state, switches in states.items()
        for switch, at in switches.items()
    }
    facts = facts_of(TOURER, edits)
    assert unmet_declarations(facts)
    assert not mistakes(facts)


def test_a_finding_about_a_failure_or_another_element_asks_for_no_change_at_a_contact() -> None:
    facts = facts_of(TOURER, {"parts/master/positions": {"down": [["coil", "ground"]], "up": []}})
    alternator = about("parts/alternator", "cruise")
    (failing,) = about("parts/alternator", "cruise", failure="battery open")
    asked = WiringMistakes(math.inf)
    assert asked.trial("x", (failing,), facts) is None
    assert asked.trial("x", about("parts/landing-light", "cruise"), facts) is None
    trial = asked.trial("x", (failing, *alternator), facts)
    assert trial and trial.members == (*alternator, failing)
    assert asked.trial("y", alternator, facts) and asked.trial("z", alternator, facts) is None


@pytest.mark.parametrize(
    ("name", "edits", "part", "words"),
    [
        (
            TWO_ALTERNATORS,
            {"wires/A27/to": "main-alternator.field"},
            "standby-alternator",
            "Move A27 from main-alternator.field to standby-alternator.field.",
        ),
        (
            TWO_ALTERNATORS,
            {REMOVE: ["wires/A27"]},
            "standby-alternator",
            "Add a wire from standby-alternator.field to standby-regulator.field.",
        ),
    ],
    ids=["the lead on the other machine", "the lead missing"],
)
def test_a_terminal_that_a_lead_belongs_on_is_wired(
    name: str, edits: dict[str, Any], part: str, words: str
) -> None:
    facts = facts_of(name, edits)
    trial = loose_terminal_wired(math.inf, "x", about(f"parts/{part}"), facts)
    assert trial and change_words(trial.change, facts.design) == words


def test_a_terminal_with_which_nothing_has_more_is_left_open() -> None:
    extra = {"kind": "switch", "positions": {"off": [], "on": [["line", "load"]]}}
    states = parsed(ROOT / f"{TOURER}.design.yaml")["operation"]["states"]
    placed = {f"operation/states/{s}/switches/extra": "off" for s, one in states.items() if "switches" in one}
    facts = facts_of(TOURER, {"parts/extra": extra, **placed})
    assert loose_terminal_wired(math.inf, "x", about("parts/extra"), facts) is None
