"""Circuit protection on the small aircraft: what is nearest, what its opening loses, what can be reset."""

from __future__ import annotations

from reviewer.analysis.protection.circuit_protection import (
    can_be_reset,
    guards_a_motor,
    lost_by_opening,
    moved,
    nearest_protectors,
    unlike,
)
from tests.analysis.small_aircraft import small
from tests.analysis.small_designs import SmallDesign

CRITICAL = ("loss: hazardous", "loss: catastrophic")


def test_the_nearest_protection_of_a_load_and_what_its_opening_loses() -> None:
    facts = small()
    near = {
        (n.load, n.state): n.protectors
        for n in nearest_protectors(facts.design, facts.network, facts.states.answers())
    }
    assert near["heater", "cruise"] == ("heater-breaker",)
    assert set(near["radio", "cruise"]) == {"main-feed", "reserve-feed"}
    taken = lost_by_opening(facts.design, facts.states.answer("cruise"))
    assert taken["heater-breaker"] == ("heater",) and taken["main-feed"] == taken["reserve-feed"] == ()


def test_in_smoke_the_radio_hangs_on_the_feed_of_the_reserve() -> None:
    facts = small(CRITICAL)
    taken = lost_by_opening(facts.design, facts.states.answer("smoke"))
    assert taken["reserve-feed"] == ("radio",)


def test_a_breaker_in_reach_can_be_reset_and_a_fuse_cannot() -> None:
    parts = small().design.parts
    assert can_be_reset(parts["heater-breaker"])
    assert not can_be_reset(parts["pump-breaker"]) and not can_be_reset(parts["charge-fuse"])


def test_a_state_with_a_switch_moved_keeps_the_other_switches() -> None:
    facts = small()
    off = moved(facts.design, facts.network, facts.states.answer("cruise"), {"radio-switch": "off"})
    assert dict(off.state.switches) == {"master-switch": "on", "radio-switch": "off"}
    assert off.state.name not in facts.states.declared and not off.healthy.powered["parts/radio"]


def test_a_breaker_of_a_motor_behind_another_breaker_guards_the_motor() -> None:
    """Behind the heater's breaker the pump's is the second; at the bus it is the first."""
    second = small(("M1: {from: main-bus.pump,", "M1: {from: heater-breaker.load,"))
    for facts, expected in ((small(), False), (second, True)):
        assert guards_a_motor(facts.design, facts.network, facts.states.answers(), "pump-breaker") is expected


def test_channels_of_one_function_are_alike_also_where_a_third_would_do() -> None:
    made = SmallDesign()
    for name in ("left", "right", "standby", "radio"):
        made.load(name)
    made.function("fire", "left", "right", "standby")
    design = made.facts().design
    assert unlike(design, "fire", "left", ("left", "right", "standby", "radio")) == ("radio",)
