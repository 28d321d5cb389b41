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
from tests.oracle.engine import differences, fault_of
from tests.oracle.plain import solve

DRAWN = (Path(__file__).parent.parent / "aircraft" / "magneto-metal.design.yaml").read_text(encoding="utf-8")
RELAY, LAMP = "parts/overvoltage-relay", "parts/overvoltage-lamp"
full_on = Failure("parts/regulator", FULL_ON)
NO_GROUND = Failure("wires/F10", OPEN)


def after(text: str, *case: Failure) -> tuple[bool, bool]:
    """Whether the lamp of the relay is lit, and the alternator alive, after a case, by the engine and by the plain evaluator."""
    facts = Facts(read_text(text, "x.yaml"))
    answer = facts.states.answer("cruise-day")
    found = conduct(facts.network, answer.state, (case,), answer.healthy)
    circuit = circuit_of(facts.design)
    plain = solve(
        circuit, answer.state, tuple(fault_of(facts.network, f) for f in case), solve(circuit, answer.state)
    )
    assert [what for what, lanes in differences(facts.network, found, [plain]) if lanes] == []
    return bool(found.powered[LAMP]), bool(found.alive["parts/alternator"])


def lit(text: str, *case: Failure) -> bool:
    """Whether the lamp of the relay is lit after a case that loses the alternator."""
    found, alive = after(text, *case)
    assert not alive
    return found


def test_its_lamp_is_lit_as_long_as_the_relay_and_the_lead_of_the_lamp_are_whole() -> None:
    assert lit(DRAWN, full_on)
    assert not lit(DRAWN, full_on, Failure("wires/F8", OPEN))
    assert after(DRAWN, full_on, Failure(RELAY, STAYS, position="normal")) == (False, True)
    assert lit(DRAWN, full_on, Failure(RELAY, STAYS, position="tripped"))
    assert not lit(DRAWN, Failure("parts/alternator", OPEN))


QUIET = "without-sense: no-output, without-ground: no-output"


@pytest.mark.parametrize("leads", [["parts/regulator-sense-fuse"], ["wires/F5"], ["wires/F6", "wires/F7"]])
def test_a_lost_lead_trips_it_where_that_drives_the_field_full_on(leads: list[str]) -> None:
    assert DRAWN.count(QUIET) == 1
    says, lost = "without-sense: full-field, without-ground: full-field", [Failure(e, OPEN) for e in leads]
    assert lit(DRAWN.replace(QUIET, says), *lost)
    assert not lit(DRAWN, *lost)
    for latent in (Failure(RELAY, STAYS, position="normal"), NO_GROUND):
        assert after(DRAWN.replace(QUIET, says), *lost, latent) == (False, True)
        assert after(DRAWN, *lost, latent) == (False, False)
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


def test_without_its_own_ground_it_does_not_trip_and_nothing_stops_the_alternator() -> None:
    assert after(DRAWN, NO_GROUND) == (False, True)
    assert after(DRAWN, full_on, NO_GROUND) == (False, True)
    old = "operated-by: voltage, ground: ground"
    assert DRAWN.count(old) == 1
    alone = DRAWN.replace(old, "operated-by: voltage").replace("  F10: {from: overvoltage-relay.ground,",
                         "  F10: {from: master-alternator.load,")  # fmt: skip
    assert after(alone, full_on, NO_GROUND) == (True, False)
    facts = Facts(read_text(DRAWN, "x.yaml"))
    for case, most in ((full_on,), 15), ((full_on, NO_GROUND), 100):
        point = facts.points.operating_point("cruise-day", case=case)
        assert (point.volts["alternator.output"] - point.volts["alternator.ground"] > 20) is (most == 100)


def test_what_a_state_has_tripped_is_tripped_with_its_ground_only() -> None:
    tested = DRAWN.replace(
        "  states:\n",
        "  states:\n    volts-test: {like: cruise-day, use: ground, switches: {overvoltage-relay: tripped}}\n",
    )
    assert tested.count("volts-test") == 1
    facts = Facts(read_text(tested, "x.yaml"))
    answer, circuit = facts.states.answer("volts-test"), circuit_of(facts.design)
    cases = [
        (),
        (NO_GROUND,),
        (full_on, NO_GROUND),
        *((Failure(RELAY, STAYS, position=at),) for at in ("normal", "tripped")),
    ]
    found = conduct(facts.network, answer.state, cases, answer.healthy)
    plain = [
        solve(circuit, answer.state, [fault_of(facts.network, f) for f in case], solve(circuit, answer.state))
        for case in cases
    ]
    assert [what for what, lanes in differences(facts.network, found, plain) if lanes] == []
    assert [found.alive["parts/alternator"] >> i & 1 for i in range(5)] == [0, 1, 1, 1, 0]
    (effect,) = fail_of(facts, "F10", "open", "volts-test").effects
    assert "overvoltage-relay moves to normal" in local_effect(effect)


@pytest.mark.long
def test_all_pairs_with_a_regulator_full_on_are_those_of_the_plain_evaluator() -> None:
    for says in (QUIET, "without-sense: full-field, without-ground: full-field"):
        facts = Facts(read_text(DRAWN.replace(QUIET, says), "x.yaml"))
        answer, circuit = facts.states.answer("cruise-day"), circuit_of(facts.design)
        every = (*answer.failures, *answer.stuck_relays)
        cases = [(*latent, second) for latent in ((full_on,), (full_on, NO_GROUND)) for second in every]
        assert len(cases) > 500
        found = conduct(facts.network, answer.state, cases, answer.healthy)
        before = solve(circuit, answer.state)
        plain = [solve(circuit, answer.state, [fault_of(facts.network, f) for f in c], before) for c in cases]
        assert [what for what, lanes in differences(facts.network, found, plain) if lanes] == []


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
