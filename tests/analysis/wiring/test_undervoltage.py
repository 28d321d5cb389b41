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
