"""Indications of failures."""

from __future__ import annotations

from copy import deepcopy

from reviewer.analysis.conduction.failure_modes import SHORT
from tests.analysis.detection.watched import volts, watched
from tests.analysis.small_designs import SmallDesign, fails
from tests.rule_cases import BASES, facts, parsed, text


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


def test_a_grounded_p_lead_shows_in_the_check_in_which_its_magneto_fires_and_in_no_other() -> None:
    made = deepcopy(parsed(BASES / "magnetos.yaml"))
    made["parts"]["lamp"] = {"kind": "load", "type": "lamp"}
    made["wires"]["L1"] = {"from": "main-battery.positive", "to": "lamp.supply"}
    made["wires"]["L2"] = {"from": "lamp.return", "to": "structure.lamp"}
    made["watch"]["checks"]["lit"] = {"state": "parked", "watch": ["lamp"], "expect": "The lamp is lit."}
    found = facts(text(made))
    on_lead = [
        f for f in found.states.answer("cruise").failures if f.mode == SHORT and f.element == "wires/I1"
    ]
    on_feed = [
        f for f in found.states.answer("cruise").failures if f.mode == SHORT and f.element == "wires/L1"
    ]
    lead, feed = found.detection.indications_of("cruise", [*on_lead, *on_feed])
    assert lead.checks == ("left-alone",)
    assert feed.checks == ("lit",)
