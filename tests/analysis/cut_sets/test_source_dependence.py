"""Functions that depend on an alternator alone, and feeds that are shared."""

from __future__ import annotations

from tests.analysis.small_designs import SmallDesign


def test_without_the_lead_of_the_battery_the_alternator_is_alone() -> None:
    made = SmallDesign()
    made.alternator()
    made.load("ignition")
    made.function("fire", "ignition")
    (alone,) = made.facts().failures.on_alternator_alone
    assert alone.function == "fire" and alone.channels == ("ignition",)
    assert "wires/W1" in {f.element for f in alone.failures}


def test_two_alternators_that_both_feed_the_bus_leave_it_to_none_alone() -> None:
    made = SmallDesign()
    made.alternator()
    made.alternator("second-alternator")
    made.load("ignition")
    made.function("fire", "ignition")
    assert made.facts().failures.on_alternator_alone == ()


def test_without_an_alternator_nothing_depends_on_one() -> None:
    made = SmallDesign()
    made.load("ignition")
    made.function("fire", "ignition")
    assert made.facts().failures.on_alternator_alone == ()


def test_a_failure_that_loses_the_bus_too_is_a_shared_feed() -> None:
    made = SmallDesign()
    made.load("radio", made.protector("breaker"))
    made.load("lamp")
    made.function("talk", "radio", loss="major")
    failures = made.facts().failures
    assert failures.major_functions == ("talk",)
    (shared,) = failures.shared_feeds("talk")
    lost = {
        failure.element: elements for failure, elements in shared.failures.items() if failure.mode == "open"
    }
    assert "parts/lamp" in lost["wires/W1"] and "parts/bus" in lost["wires/W1"]
    assert "parts/breaker" not in lost  # its own branch loses nothing else


def test_a_unit_with_a_battery_inside_is_not_lost_with_the_bus() -> None:
    made = SmallDesign()
    made.load("radio", made.protector("breaker"))
    made.load("lamp")
    made.load("map")
    made.parts["map"]["internal-battery"] = "1 h"
    made.function("talk", "radio", loss="major")
    (shared,) = made.facts().failures.shared_feeds("talk")
    with_bus = next(e for f, e in shared.failures.items() if (f.element, f.mode) == ("wires/W1", "open"))
    assert "parts/lamp" in with_bus and "parts/map" not in with_bus
