"""Loads below their minimum, and what is lost with them."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import HazardClass
from reviewer.reading import read_text
from tests.analysis.wiring.wired import WIRED, wired


def test_on_a_battery_held_at_11_volts_a_load_has_that_less_its_run() -> None:
    facts = wired()
    points = {flown.state: point for flown, case, point in facts.wires.battery_points if not case}
    assert set(points) == {"smoke-drill", "on-battery"}
    point = points["on-battery"]
    for battery in ("main-battery", "reserve-battery"):
        assert point.volts[f"{battery}.positive"] - point.volts[f"{battery}.negative"] == pytest.approx(
            11.0, abs=0.01
        )
    heater = point.across["parts/pitot-heater"]
    assert 10.3 < heater < 10.9
    assert point.taken["parts/pitot-heater"] == pytest.approx(7 * heater / 14)  # a resistance, rated at 14 V


def test_the_class_of_a_load_with_undervoltage_is_that_of_what_is_lost_with_it() -> None:
    """One ignition that has too little takes no function; both take the ignition."""
    low = ("minimum: 8 V, maximum: 16.5 V", "minimum: 12.45 V, maximum: 16.5 V")
    both, one = (Facts(read_text(WIRED.replace(*low, count), "starved.yaml")) for count in (2, 1))
    assert one.design.functions["ignition"].loss == "catastrophic"
    on_battery = [
        s for s in both.wires.undervoltage_loads if s.flown.state == "on-battery" and s.at_posts is None
    ]
    assert {s.load for s in on_battery} == {"parts/left-ignition", "parts/right-ignition"}
    assert {s.hazard(both.design) for s in on_battery} == {HazardClass.CATASTROPHIC}
    assert {s.hazard(one.design) for s in one.wires.undervoltage_loads} == {HazardClass.MINOR}


def test_a_loss_on_the_ground_is_not_of_the_class_that_it_has_in_flight() -> None:
    """The same state, once of a check on the ground and once flown after a failure."""
    text = WIRED.replace("minimum: 8 V, maximum: 16.5 V", "minimum: 12.45 V, maximum: 16.5 V")
    state = "    on-battery: {like: cruise,"
    check = "    ground-check: {like: on-battery, use: ground, engine: stopped}\n"
    facts = Facts(read_text(text.replace(state, check + state, 1), "starved.yaml"))
    low = {s.flown.state: s for s in facts.wires.undervoltage_loads if s.at_posts is None}
    assert low["on-battery"].hazard(facts.design) is HazardClass.CATASTROPHIC
    assert low["ground-check"].functions == low["on-battery"].functions == ("ignition",)
    assert low["ground-check"].hazard(facts.design) is HazardClass.MINOR


def test_the_worst_of_what_nobody_has_measured_is_a_corner_of_the_limits_of_meters() -> None:
    """A heater of 13.5 V has 13.9 V as the file says, and less where the regulator holds 13.8 V; what is low with the figures
    of the file is told once, with these."""
    heater = (
        "pitot-heater: {kind: load, type: heater, current: 7 A, peak: 9 A, duty: continuous, minimum: 10 V"
    )
    facts = wired((heater, heater.replace("10 V", "13.5 V")))
    found = [
        s
        for s in facts.wires.undervoltage_loads
        if s.load == "parts/pitot-heater" and s.flown.state == "cruise"
    ]
    (low,) = found
    point, spread = facts.points.point(low.flown), facts.points.spread("cruise", phase=low.flown.phase)
    assert low.figured == point.across["parts/pitot-heater"] > 13.5 > low.volts
    assert low.volts == float(spread.points.across("parts/pitot-heater").min())
    (flat,) = [
        s for s in facts.wires.undervoltage_loads if s.flown.state == "on-battery" and s.at_posts is None
    ]
    assert flat.figured is None and flat.volts == facts.points.operating_point("on-battery").across[flat.load]


@pytest.mark.parametrize(("maximum", "high"), [("14 V", True), ("14.2 V", False)])
def test_a_load_has_at_most_what_the_highest_corner_leaves_it(maximum: str, high: bool) -> None:
    heater = "duty: continuous, minimum: 10 V, maximum: 16 V"
    facts = wired((heater, heater.replace("16 V", maximum)))
    assert {h.load for h in facts.wires.overvoltage_loads} == ({"parts/pitot-heater"} if high else set())
    for load in facts.wires.overvoltage_loads:
        assert load.volts > load.maximum > load.figured


def test_the_corners_are_the_same_with_the_circuit_of_the_point_and_with_one_of_their_own() -> None:
    first, second = wired(), wired()
    for flown in first.wires.steady:
        first.points.point(flown)
        with_it, alone = (f.points.spread(flown.state, phase=flown.phase) for f in (first, second))
        for load in with_it.points.built.loads:
            one, other = with_it.across(load), alone.across(load)
            assert one is not None and one == pytest.approx(other, abs=1e-6)


def test_a_unit_that_is_off_does_not_stand_in_for_one_that_has_too_little() -> None:
    """With the right ignition switched off, the left one that has too little is all there was."""
    low = ("minimum: 8 V, maximum: 16.5 V", "minimum: 12.45 V, maximum: 16.5 V")
    state = "    on-battery: {like: cruise,"
    left = "    left-alone: {like: on-battery, use: abnormal, switches: {right-switch: down}}\n"
    facts = Facts(read_text(WIRED.replace(*low, 1).replace(state, left + state, 1), "starved.yaml"))
    lost = {s.flown.state: s.functions for s in facts.wires.undervoltage_loads if s.at_posts is None}
    assert lost["on-battery"] == () and lost["left-alone"] == ("ignition",)
