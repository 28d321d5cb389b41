"""Relays that restore a bus, judged from cold, against the plain evaluator."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import HELD, OPEN, Fault, solve
from tests.rule_cases import design, text

RULE = "relays-pick-up-without-the-bus-they-restore"
TWIN = "a second feed of the main bus, its coil on the battery's post, commanded in no declared state"
GUILTY = "its coil on the main bus, which an alternator holds up that excites itself from it"
RELAY = "parts/alternate-relay"


def facts(trap: str) -> Facts:
    return Facts(read_text(text(design(RULE, trap)), "design"))


@pytest.mark.parametrize(("trap", "picks_up"), [(TWIN, True), (GUILTY, False)])
def test_the_plain_evaluator_says_from_cold_whether_the_relay_picks_up(trap: str, picks_up: bool) -> None:
    found = facts(trap)
    (relay,) = found.switches.restoring_relays
    assert (relay.relay, relay.state, relay.moved) == (RELAY, "cruise", ("alternate-switch", "up"))
    assert "main-bus" in relay.restores
    state = found.states.answer("cruise").state
    moved = replace(state, switches=MappingProxyType({**state.switches, "alternate-switch": "up"}))
    circuit, lost = circuit_of(found.design), Fault("parts/main-contactor", OPEN)
    running = solve(circuit, state, (lost,), solve(circuit, state))
    assert any("main-bus" in fed for fed in running.fed.values())  # the alternator excites itself
    assert not any("main-bus" in fed for fed in solve(circuit, state, (lost,)).fed.values())
    assert solve(circuit, moved, (lost,)).energised[RELAY] is picks_up
    closed = solve(circuit, moved, (lost, Fault(RELAY, HELD)))
    assert any("main-bus" in fed for fed in closed.fed.values())
    needs = {need.failure.element: need.lost for need in relay.needs}
    assert needs.get("parts/main-contactor") is (None if picks_up else False)
