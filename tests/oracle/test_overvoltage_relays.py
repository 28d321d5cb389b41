"""A regulator that fails full on trips the overvoltage relay that the file draws, and nothing else."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import FULL_ON, OPEN, STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.network.network_build import build_network
from reviewer.reading import read_text
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
