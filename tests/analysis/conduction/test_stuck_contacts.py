"""Stuck contacts that short a source, against the plain evaluator."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Mode
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.circuit import circuit_of
from tests.oracle.engine import fault_of
from tests.oracle.plain import Fault, solve
from tests.rule_cases import design, text

RULE = "no-shared-device-failure-stops-a-critical-function"
TRAPS = (
    "a relay that stops the engine grounds both channels where its two contacts weld together",
    "each channel has a stop relay of its own, and one weld leaves the other channel",
    "break contacts ground both channels where the relay drops out",
    "the contacts lead to the structure behind the loads, and join no source to its own negative",
)


def kill(kind: str, end: str = "ground") -> SmallDesign:
    """A lamp behind a breaker, and a relay whose contact leads from the lamp's supply to ``end``."""
    made = SmallDesign()
    made.load("lamp", made.protector("breaker"))
    made.add("relay", "relay", coil=["plus", "minus"], contacts={"one": {"kind": kind, "joins": ["a", "b"]}})
    made.wire("lamp.supply", "relay.a")
    made.wire("relay.b", end)
    return made


def shorted(facts: Facts) -> dict[Mode, set[str]]:
    names = facts.network.names
    return {f.mode: {names[n] for n in f.nodes} for f in cruise(facts).stuck_relays if f.nodes}


def test_a_weld_from_a_feed_to_the_ground_is_a_short() -> None:
    facts = kill("make").facts()
    assert shorted(facts) == {Mode.HELD: {"relay.b"}}
    answer = cruise(facts)
    welded = [f.mode for f in answer.stuck_relays].index(Mode.HELD)
    assert (
        not answer.stuck.powered["parts/lamp"] >> welded & 1
        and answer.stuck.alive["parts/battery"] >> welded & 1
    )


def test_a_weld_does_not_short_the_feed_of_the_coil() -> None:
    made = kill("make")
    made.load("radio", made.protector("second-breaker"))
    made.wire("radio.supply", "relay.plus")
    answer = cruise(made.facts())
    welded = [f.mode for f in answer.stuck_relays].index(Mode.HELD)
    assert not answer.stuck.powered["parts/lamp"] >> welded & 1
    assert answer.stuck.powered["parts/radio"] >> welded & 1


def test_a_weld_from_a_feed_to_a_feed_is_none() -> None:
    assert shorted(kill("make", "bus").facts()) == {}


@pytest.mark.parametrize("trap", TRAPS)
def test_the_plain_evaluator_finds_the_same_shorts_and_the_same_losses(trap: str) -> None:
    facts = Facts(read_text(text(design(RULE, trap)), "design"))
    answer, circuit = cruise(facts), circuit_of(facts.design)
    before = solve(circuit, answer.state)
    for i, failure in enumerate(answer.stuck_relays):
        closed = solve(
            circuit, answer.state, (Fault(failure.element, fault_of(facts.network, failure).mode),), before
        )
        ways = [way for way in circuit.ways if way.element == failure.element and way.when != "forward"]
        returns = {
            n
            for way in ways
            for n in (way.one, way.other)
            for s in before.returned
            if n in before.returned[s] and n not in before.fed[s]
        }
        joined = {n for n in returns for s in closed.fed if n in closed.fed[s] and n in closed.returned[s]}
        assert {facts.network.names[n] for n in failure.nodes} == joined
        plain = solve(circuit, answer.state, (fault_of(facts.network, failure),), before)
        for element, powered in plain.powered.items():
            assert bool(answer.stuck.powered[element] >> i & 1) is powered, (failure, element)


@pytest.mark.parametrize("rest", ["ground", "bus"])
def test_a_change_over_contact_that_leaves_the_ground_shorts_nothing(rest: str) -> None:
    """A motor between two change-over contacts: held energised, one runs it from the bus."""
    made = SmallDesign()
    made.add("motor", "load", type="motor", reversible=True)
    ends = {"ground", "bus"}
    for relay, lead in (("down", "supply"), ("up", "return")):
        contact = {"kind": "changeover", "common": "common", "de-energised": "rest", "energised": "work"}
        made.add(relay, "relay", coil=["plus", "minus"], contacts={"one": contact})
        made.wire(f"{relay}.rest", rest)
        made.wire(f"{relay}.work", *(ends - {rest}))
        made.wire(f"{relay}.common", f"motor.{lead}")
    facts = made.facts()
    assert shorted(facts) == {}
    answer = cruise(facts)
    held = [i for i, f in enumerate(answer.stuck_relays) if f.mode == Mode.HELD]
    assert len(held) == 2 and all(answer.stuck.powered["parts/motor"] >> i & 1 for i in held)
