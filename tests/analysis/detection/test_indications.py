"""Indications of failures."""

from __future__ import annotations

from tests.analysis.detection.watched import volts, watched
from tests.analysis.small_designs import SmallDesign, fails


def sensed() -> SmallDesign:
    made = watched(bus_volts=volts("bus.sense"))
    made.run("bus.sense", [made.protector("sense-fuse", "fuse")], "display.in-1")
    made.load("lamp")
    made.more["watch"]["checks"] = {"look": {"state": "cruise", "watch": ["lamp"], "expect": "Lit."}}
    return made


def test_a_monitor_reads_otherwise_and_a_check_would_notice() -> None:
    facts = sensed().facts()
    fuse, lamp = fails(facts, "parts/sense-fuse"), fails(facts, "parts/lamp")
    seen = facts.detection.indications_of("cruise", [fuse, lamp])
    assert [(s.monitors, s.dark, s.checks) for s in seen] == [(("bus-volts",), (), ()), ((), (), ("look",))]


def test_a_display_without_power_is_dark_and_reads_nothing() -> None:
    facts = sensed().facts()
    (seen,) = facts.detection.indications_of("cruise", [fails(facts, "parts/display-breaker")])
    assert seen.monitors == () and seen.dark == ("bus-volts",)


def test_of_no_failure_there_is_no_indication() -> None:
    assert sensed().facts().detection.indications_of("cruise", []) == ()
