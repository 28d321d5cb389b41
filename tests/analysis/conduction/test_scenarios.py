"""Scenarios as masks over the links."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, HELD, OPEN, SEVERED, SHORT, STAYS, Failure
from reviewer.analysis.conduction.scenarios import (
    lanes_of_cases,
    lanes_of_moves,
    lanes_of_pairs,
    lanes_of_states,
)
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise


def lamp_behind_switch_and_breaker() -> Facts:
    made = SmallDesign()
    made.load("lamp", made.switch("switch"), made.protector("breaker"))
    return made.facts()


def link(facts: Facts, element: str) -> int:
    (found,) = facts.network.links_of[element]
    return found


def test_an_open_element_does_not_conduct_in_its_lane() -> None:
    facts = lamp_behind_switch_and_breaker()
    lanes = lanes_of_cases(
        facts.network, cruise(facts).state, [Failure("parts/breaker", OPEN), Failure("wires/W3", OPEN)]
    )
    assert (
        lanes.forward[link(facts, "parts/breaker")] == 0b10 and lanes.forward[link(facts, "wires/W3")] == 0b01
    )


def test_without_a_case_there_is_one_lane_with_nothing_failed() -> None:
    facts = lamp_behind_switch_and_breaker()
    lanes = lanes_of_cases(facts.network, cruise(facts).state, ())
    assert lanes.width == 1 and all(lanes.forward) and not lanes.opened and not lanes.touched


def test_a_switch_that_stays_conducts_as_at_its_position() -> None:
    facts = lamp_behind_switch_and_breaker()
    cases = [Failure("parts/switch", STAYS, position=at) for at in ("off", "on")]
    assert (
        lanes_of_cases(facts.network, cruise(facts).state, cases).forward[link(facts, "parts/switch")] == 0b10
    )


def test_an_element_that_is_open_and_shorted_counts_as_shorted() -> None:
    facts = lamp_behind_switch_and_breaker()
    node = facts.network.node("breaker.load")
    case = (Failure("parts/breaker", OPEN), Failure("parts/breaker", SHORT, (node,)))
    lanes = lanes_of_cases(facts.network, cruise(facts).state, [case])
    assert lanes.opened["parts/breaker"] == 0 and lanes.grounded == {frozenset(): {node: 1}}


def test_a_severed_bundle_opens_all_of_its_wires() -> None:
    made = SmallDesign()
    made.add("lamp", "load")
    made.wire("bus", "lamp.supply", bundle="pair")
    made.wire("lamp.return", "ground", bundle="pair")
    facts = made.facts()
    assert set(
        lanes_of_cases(facts.network, cruise(facts).state, [Failure("bundles/pair", SEVERED)]).opened
    ) == {"wires/W3", "wires/W4"}


def test_a_shorted_diode_conducts_both_ways() -> None:
    made = SmallDesign()
    made.add("diode", "diode")
    made.load("lamp", ("diode.anode", "diode.cathode"))
    facts = made.facts()
    lanes = lanes_of_cases(
        facts.network, cruise(facts).state, [Failure("parts/diode", DIODE_SHORT), Failure("parts/lamp", OPEN)]
    )
    assert lanes.backward[link(facts, "parts/diode")] == 0b01


def test_a_pair_has_the_failures_of_both() -> None:
    facts = lamp_behind_switch_and_breaker()
    wires = [Failure(f"wires/W{n}", OPEN) for n in (3, 4, 5)]
    lanes = lanes_of_pairs(facts.network, cruise(facts).state, wires[:2], wires)
    # lane i * 3 + j has the failures i and j
    assert lanes.opened == {"wires/W3": 0b001111, "wires/W4": 0b111010, "wires/W5": 0b100100}


def test_welded_contacts_are_held_in_their_lane() -> None:
    made = SmallDesign()
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"main": {"kind": "make", "joins": ["in", "out"]}}
    )
    made.load("lamp", ("relay.in", "relay.out"))
    facts = made.facts()
    lanes = lanes_of_cases(
        facts.network, cruise(facts).state, [Failure("parts/lamp", OPEN), Failure("parts/relay", HELD)]
    )
    assert lanes.held == {"parts/relay": 0b10}


def test_each_state_is_a_lane_with_its_own_switches_and_pulled_breakers() -> None:
    made = SmallDesign()
    made.load("lamp", made.switch("switch"), made.protector("breaker"))
    made.states["cruise"] = {"engine": "running", "switches": {"switch": "on"}}
    made.states["dark"] = {"engine": "stopped", "switches": {"switch": "off"}}
    made.states["pulled"] = {"engine": "stopped", "switches": {"switch": "on"}, "pulled": ["breaker"]}
    facts = made.facts()
    lanes = lanes_of_states(facts.network, [facts.states.declared[s] for s in ("cruise", "dark", "pulled")])
    assert (
        lanes.forward[link(facts, "parts/switch")] == 0b101
        and lanes.forward[link(facts, "parts/breaker")] == 0b011
    )
    assert lanes.running == 0b001


def test_what_has_tripped_and_what_is_lost_stays_so_after_a_move() -> None:
    facts = lamp_behind_switch_and_breaker()
    breaker = link(facts, "parts/breaker")
    state = cruise(facts).state
    lanes = lanes_of_moves(facts.network, [state, state], [()], {breaker: 0b10}, {"parts/battery": 0b01})
    assert lanes.forward[breaker] == 0b01 and lanes.opened["parts/battery"] == 0b01
