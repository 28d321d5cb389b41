"""What wires carry and may carry, pins, and loads that have too little: worked by hand. Printed values are those of AC 43.13-1B Table 11-9."""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.wiring.ambient import ambient_of
from reviewer.analysis.wiring.pin_loading import pin_groups
from reviewer.model.review import HazardClass
from reviewer.reading import read_text
from tests.analysis.wiring.test_voltage_drop import WIRED, wired

PLUG = "wing-plug: {kind: connector, zone: wing, pins: [heat, heat-return, spare], pin-rating: 10 A}"
W73 = "W73: {from: wing-plug.heat-plug, to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m, bundle: wing}"


def root(class_c: float, air_c: float) -> float:
    """The ambient law of NFPA 70 310.15(B) from the 70 C of the table."""
    return math.sqrt((class_c - air_c) / (class_c - 70))


def test_a_single_wire_in_the_cabin() -> None:
    """20 AWG of the 150 C class: 7 A printed for 33 wires; a bundle of 19 at 20 % has the factor 0.625, one wire 1; 50 C in the cabin."""
    load, allowed = wired().wires.wire_loads.worst("W11")
    assert allowed.ampacity.amperes == pytest.approx(7 / 0.625 * root(150, 50))
    assert (allowed.around.wires, allowed.ambient.zone, allowed.ambient.known) == (1, "cabin", True)
    assert abs(load.amperes) == pytest.approx(3 * 14.4 / 14, rel=0.03)  # the field of a running alternator, 3 A at 14 V, typical


def test_a_bundle_shares_its_heat() -> None:
    """Seven wires in the wing, 60 C: four of 12 AWG (19 A printed) and three of 16 AWG (11 A). The heater alone carries, out and back."""
    facts = wired()
    load, allowed = facts.wires.wire_loads.worst("W73")
    capacity = (4 * 19 + 3 * 11) / 0.625 * root(150, 60)
    heater = [f"W{n}" for n in (72, 73, 74, 75)]
    assert load.flown.state == "cruise"
    assert load.bundle_used == pytest.approx(len(heater) * abs(load.amperes) / capacity, rel=1e-6)
    assert load.bundle_used < 0.2
    assert allowed.ampacity.amperes == pytest.approx(19 * 0.82 / 0.625 * root(150, 60))  # seven wires at 20 %: 0.82


def test_a_bundle_that_is_used_more_carries_less() -> None:
    """24 A of heat in the same bundle: more than 40 % of it is used, so that the column of 60 % is read: 0.625."""
    facts = wired(("current: 7 A, peak: 9 A", "current: 24 A"))
    load, allowed = facts.wires.wire_loads.worst("W73")
    assert 0.4 < load.bundle_used < 0.6
    assert allowed.ampacity.amperes == pytest.approx(19 * 0.625 / 0.625 * root(150, 60))
    assert abs(load.amperes) > allowed.ampacity.amperes


def test_the_air_of_a_wire_is_that_of_its_zone_else_the_hottest_of_its_ends_else_of_all() -> None:
    design = wired((W73, W73[:-1] + ", zone: cabin}"), ("bus-limiter: {kind: limiter, zone: cabin,", "bus-limiter: {kind: limiter,")).design
    ambients = {wire: ambient_of(design, wire) for wire in ("W73", "W72", "W13", "W3")}
    assert [(a.celsius, a.zone, a.known) for a in ambients.values() if a] == [
        (50, "cabin", True), (60, "wing", True), (90, "engine", True), (90, "engine", False),
    ]  # fmt: skip


def test_a_zone_without_a_temperature_is_asked_for() -> None:
    with pytest.raises(NotAssessable, match=r"`hottest` of wing in `aircraft.zones`"):
        wired(("wing: {hottest: 60 C}", "wing: {wet: true}")).wires.wire_loads.worst("W73")


def test_more_than_19_wires_that_are_used_are_outside_what_is_printed() -> None:
    crowd = "".join(f"\n  X{n}: {{from: main-bus.x{n}, to: main-bus.y{n}, gauge: 24 AWG, length: 1 m, bundle: wing}}" for n in range(20))
    facts = wired((W73, W73 + crowd), ("current: 7 A, peak: 9 A", "current: 24 A"))
    with pytest.raises(NotAssessable, match=r"what W73 may carry: Bundle factors.* 1 to 19 wires"):
        facts.wires.wire_loads.worst("W73")


def test_cranking_is_not_on_and_on() -> None:
    facts = wired()
    assert facts.wires.wire_loads.largest("W61") < 0.1
    assert "W61" not in facts.wires.wire_loads.carrying()
    assert abs(facts.points.point(facts.wires.while_cranking[0]).amps["wires/W61"]) == pytest.approx(160, rel=0.01)


def test_pins_in_parallel_are_found_by_what_joins_them_on_both_sides() -> None:
    facts = wired(
        (PLUG, PLUG.replace("[heat, heat-return, spare]", "[heat, heat-b, heat-c, heat-return]")),
        (
            W73,
            W73 + "\n  X1: {from: wing-plug.heat-plug, to: wing-plug.heat-b-plug, gauge: 12 AWG, length: 0.1 m}"
            "\n  X2: {from: wing-plug.heat-socket, to: wing-plug.heat-b-socket, gauge: 12 AWG, length: 0.1 m}"
            "\n  X3: {from: wing-plug.heat-plug, to: wing-plug.heat-c-plug, gauge: 12 AWG, length: 0.1 m}",
        ),
    )
    groups = pin_groups(facts.design, facts.network, "wing-plug")
    assert groups == (("heat", "heat-b"), ("heat-c",), ("heat-return",))  # heat-c is joined on one side only
    load = next(load for load in facts.wires.pin_loads("wing-plug") if "heat" in load.pins)
    alone = next(load for load in facts.wires.pin_loads("wing-plug") if load.pins == ("heat-return",))
    assert load.amperes == pytest.approx(alone.amperes) and load.shares == 1 and load.weight == pytest.approx(alone.weight)


def test_a_full_connector_leaves_six_tenths() -> None:
    load = wired((PLUG, PLUG.replace(", spare", ""))).wires.pin_loads("wing-plug")[0]
    assert (load.full, load.factor) == (False, 1.0)  # a supply and its return
    facts = wired((PLUG, PLUG.replace("spare", "flaps")), ("flap-motor.return, to: main-ground.flaps", "flap-motor.return, to: wing-plug.flaps-plug"))
    assert all(not load.full for load in facts.wires.pin_loads("wing-plug"))  # the flaps do not run in any state


def test_the_class_of_a_starved_load_is_that_of_what_is_lost_with_it() -> None:
    """One ignition that has too little takes no function; both take the ignition."""
    low = ("minimum: 8 V, maximum: 16.5 V", "minimum: 12.45 V, maximum: 16.5 V")
    both, one = (Facts(read_text(WIRED.replace(*low, count), "starved.yaml")) for count in (2, 1))
    assert one.design.functions["ignition"].loss == "catastrophic"
    on_battery = [s for s in both.wires.starved if s.flown.state == "on-battery" and s.at_posts is None]
    assert {s.load for s in on_battery} == {"parts/left-ignition", "parts/right-ignition"}
    assert {s.hazard(both.design) for s in on_battery} == {HazardClass.CATASTROPHIC}
    assert {s.hazard(one.design) for s in one.wires.starved} == {HazardClass.MINOR}
