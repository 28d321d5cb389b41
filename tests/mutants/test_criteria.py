"""The criteria themselves, on small changes whose answer is plain."""

from __future__ import annotations

import pytest

from tests.edits import edited
from tests.mutants.decide import decide, decided
from tests.mutants.evaluated import Evaluated, grave_losses
from tests.mutants.mutant import sound
from tests.mutants.starts import volts_at_start
from tests.mutants.verdict import NO, OPEN_QUESTION, YES
from tests.mutants.wiring_faults import is_stub, most_amperes, starting_cables, wire_faults


def changed(design: str, edits: dict[str, object]) -> Evaluated:
    return Evaluated(edited(sound(design), edits))


@pytest.mark.parametrize("design", ["sketch", "watched", "wired"])
def test_a_sound_design_has_no_fault_by_the_criteria(design: str) -> None:
    of = Evaluated(sound(design))
    assert wire_faults(of) == {}
    assert not any(of.single_losses[n] for n, f in of.design.functions.items() if f.loss == "catastrophic")


def test_only_the_power_cables_of_the_starting_circuit_are_exempt() -> None:
    assert starting_cables(Evaluated(sound("wired"))) == {"W1", "W60", "W61"}


@pytest.mark.parametrize(("length", "stub"), [("6 in", True), ("0.152 m", True), ("0.153 m", False)])
def test_a_stub_is_six_inches_at_most(length: str, stub: bool) -> None:
    assert is_stub(changed("watched", {"wires/W30/length": length}), "W30") is stub


def test_a_device_that_is_too_large_for_a_wire_or_its_return_is_told() -> None:
    assert most_amperes("breaker", "18") == 10 and most_amperes("limiter", "6") == 70
    found = wire_faults(changed("wired", {"parts/heater-breaker/rating": "25 A"}))
    assert found["W71"] == "W71 of 14 AWG behind heater-breaker of 25 A; Table 11-3 gives 20 A"
    thin = wire_faults(changed("wired", {"wires/W75/gauge": "18 AWG", "wires/W74/gauge": "18 AWG"}))
    assert "it is the return of what that device feeds" in thin["W74"]


def test_a_starter_that_stands_is_a_resistance_behind_cold_batteries() -> None:
    """By hand: 12 V at 350 A are 34.3 mohm. Behind the main battery's 10.5 mohm and the cables,
    some 3 mohm, a battery of 12.7 V leaves it about 9 V; a peak twice as large leaves it less.
    """
    found = volts_at_start(Evaluated(sound("wired")))
    assert found["cranking-motor"] == pytest.approx(12.7 * 34.3 / (34.3 + 10.5 + 3), rel=0.05)
    greedy = volts_at_start(changed("wired", {"parts/cranking-motor/peak": "700 A"}))
    assert greedy["cranking-motor"] == pytest.approx(12.7 * 17.15 / (17.15 + 10.5 + 3), rel=0.05)
    assert greedy["right-ignition"] == pytest.approx(found["right-ignition"], abs=0.05)  # on the reserve


def test_one_device_late_takes_both_channels_where_ratings_promise_no_order() -> None:
    """Both ignitions on one fuse: 15 A above 7.5 A breakers is in order, 10 A is not."""
    feed = {
        "parts/feed": {"kind": "fuse", "rating": "15 A"},
        "parts/ignition-bus": {"kind": "bus"},
        "wires/F1": {"from": "main-battery.positive", "to": "feed.line"},
        "wires/F2": {"from": "feed.load", "to": "ignition-bus.feed"},
        "wires/W20": {"from": "ignition-bus.left", "to": "left-fuse.line"},
        "wires/W30": {"from": "ignition-bus.right", "to": "right-fuse.line"},
        "wires/W33": {"from": "right-ignition.return", "to": "main-ground.right"},
    }
    base = edited(sound("watched"), feed)
    late = Evaluated(edited(base, {"parts/feed/rating": "10 A"}))
    assert "right-fuse.load" in grave_losses(Evaluated(base), late)["ignition"]
    assert "right-fuse.load" not in Evaluated(base).single_losses["ignition"]


@pytest.mark.parametrize(
    ("key", "why"),
    [
        ("sketch/protection-removed/amps-high-fuse", "reaches display.amps-high-in with no device between"),
        ("sketch/feed-moved/W34-to-main-battery", "does not feed standby-attitude any more"),
        ("watched/feed-moved/W69-to-main-battery", "does not feed engine-monitor any more"),
        ("watched/switch-bypassed/monitor-switch", "engine-monitor.supply-b stays fed"),
        ("tourer/wire-thinned/K1", "right-strobe has 8.98 V while the starter stands"),
    ],
)
def test_what_needs_no_rating_and_no_gauge_is_decided(key: str, why: str) -> None:
    verdict = decide(key)
    assert verdict.defect == YES and why in verdict.why


@pytest.mark.parametrize(
    ("key", "defect"),
    [
        ("sketch/protection-removed/radio-breaker", OPEN_QUESTION),  # the bus has a limiter of no rating
        ("watched/switch-bypassed/left-switch", YES),
        ("watched/rating-raised/sense-fuse", NO),
        ("tourer/reach-lost/avionics-breaker", NO),  # one in reach opens first
        ("tourer/reach-lost/primary-display-breaker", YES),
        ("tourer/wire-thinned/S1", NO),  # a lead to the start button: the start is as before
    ],
)
def test_what_they_do_not_decide_is_decided_as_before(key: str, defect: str) -> None:
    assert decide(key).defect == defect == decided()[key].defect
