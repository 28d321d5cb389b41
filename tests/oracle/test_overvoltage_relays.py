"""A regulator that fails full on, or loses a lead without which it drives the field so, trips the overvoltage relay that the file draws, and nothing else does."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import FULL_ON, OPEN, STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.network.network_build import build_network
from reviewer.questions.fail import fail_of
from reviewer.reading import read_text
from reviewer.reports.effects.words import local_effect
from tests.oracle.circuit import circuit_of
from tests.oracle.engine import fault_of
from tests.oracle.plain import solve

DRAWN = (Path(__file__).parent.parent / "aircraft" / "magneto-metal.design.yaml").read_text(encoding="utf-8")
RELAY, LAMP = "parts/overvoltage-relay", "parts/overvoltage-lamp"
full_on = Failure("parts/regulator", FULL_ON)


def lit(text: str, *case: Failure) -> bool:
    """Whether the lamp of the relay is lit after a case, by the engine and by the plain evaluator."""
    facts = Facts(read_text(text, "x.yaml"))
    answer = facts.states.answer("cruise-day")
    found = conduct(facts.network, answer.state, (case,), answer.healthy)
    circuit = circuit_of(facts.design)
    plain = solve(
        circuit, answer.state, tuple(fault_of(facts.network, f) for f in case), solve(circuit, answer.state)
    )
    assert plain.powered == {e: bool(found.powered[e]) for e in plain.powered}
    assert not found.alive["parts/alternator"]
    return bool(found.powered[LAMP])


def test_its_lamp_is_lit_as_long_as_the_relay_and_the_lead_of_the_lamp_are_whole() -> None:
    assert lit(DRAWN, full_on)
    assert not lit(DRAWN, full_on, Failure("wires/F8", OPEN))
    assert not lit(DRAWN, full_on, Failure(RELAY, STAYS, position="normal"))
    assert lit(DRAWN, full_on, Failure(RELAY, STAYS, position="tripped"))
    assert not lit(DRAWN, Failure("parts/alternator", OPEN))


QUIET = "without-sense: no-output, without-ground: no-output"


@pytest.mark.parametrize("leads", [["parts/regulator-sense-fuse"], ["wires/F5"], ["wires/F6", "wires/F7"]])
def test_a_lost_lead_trips_it_where_that_drives_the_field_full_on(leads: list[str]) -> None:
    assert DRAWN.count(QUIET) == 1
    says, lost = "without-sense: full-field, without-ground: full-field", [Failure(e, OPEN) for e in leads]
    assert lit(DRAWN.replace(QUIET, says), *lost)
    assert not lit(DRAWN, *lost)
    assert not lit(DRAWN.replace(QUIET, says), *lost, Failure(RELAY, STAYS, position="normal"))
    assert not lit(DRAWN.replace(QUIET, says), Failure("wires/F3", OPEN))  # its field, too


def test_of_two_lost_leads_the_one_that_turns_the_field_off_decides() -> None:
    text = DRAWN.replace(QUIET, "without-sense: full-field, without-ground: no-output")
    sense, *grounds = (Failure(f"wires/{w}", OPEN) for w in ("F5", "F6", "F7"))
    assert lit(text, sense) and not lit(text, *grounds) and not lit(text, sense, *grounds)


def test_with_the_engine_stopped_or_the_field_off_nothing_trips() -> None:
    facts = Facts(read_text(DRAWN, "x.yaml"))
    seen = set()
    for name in facts.states.declared:
        answer = facts.states.answer(name)
        on = bool(conduct(facts.network, answer.state, ((full_on,),), answer.healthy).energised[RELAY])
        assert on == bool(answer.healthy.alive["parts/alternator"])
        seen.add(on)
    assert seen == {True, False}


def test_what_fail_and_solve_say_of_a_lost_lead_has_the_trip() -> None:
    facts = Facts(
        read_text(DRAWN.replace(QUIET, "without-sense: full-field, without-ground: no-output"), "x.yaml")
    )
    (found,) = fail_of(facts, "F5", "open", "cruise-day").effects
    assert "overvoltage-relay moves to tripped" in local_effect(found)
    point = facts.points.operating_point("cruise-day", case=(Failure("wires/F5", OPEN),))
    sound = facts.points.operating_point("cruise-day")
    assert point.volts["overvoltage-lamp.supply"] > 10 > 1 > sound.volts["overvoltage-lamp.supply"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("operated-by: voltage, ground", "operated-by: voltage, follows: main-bus, ground"),
        # the field goes past it
        ("{from: overvoltage-relay.load, to: regulator.supply", "{from: overvoltage-relay.line, to: regulator.supply"),
        ("overvoltage-trip: 16.2 V, trip-acts-on: field", "overvoltage-trip: none"),
    ],
)  # fmt: skip
def test_what_follows_something_or_leaves_the_field_on_is_no_such_relay(old: str, new: str) -> None:
    assert DRAWN.count(old) == 1
    for text, relay in ((DRAWN, (RELAY, "tripped")), (DRAWN.replace(old, new), None)):
        sources = build_network(read_text(text, "x.yaml")).sources
        assert next(s for s in sources if s.kind == "alternator").relay == relay
