"""Parasitic drain of a parked aircraft, worked by hand."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_design, read_text
from tests.rule_cases import design, yaml_text

ROOT = Path(__file__).parents[3]


def test_the_drain_of_a_reserve_worked_by_hand() -> None:
    """1 mA through the diode and 14 V over 100 kohm: 1.14 mA take 3.5 Ah in 127.9 days."""
    text = yaml_text(design("batteries-keep-their-charge-while-parked", "met"))
    facts = Facts(read_text(text, "design.yaml"))
    main, reserve = facts.endurance.parasitic_drains("parked")
    assert (main.battery, main.amperes, main.days) == ("main-battery", (0.0, 0.0), (math.inf, math.inf))
    assert reserve.amperes == (pytest.approx(0.00114), pytest.approx(0.00114))
    assert reserve.days[0] == pytest.approx(127.9, abs=0.05)


def test_the_largest_drain_is_named_first_by_whichever_supply_it_is_fed() -> None:
    text = yaml_text(
        design(
            "batteries-keep-their-charge-while-parked",
            "a display on its second supply, fed by the reserve alone while parked",
        )
    )
    main, reserve = Facts(read_text(text, "design.yaml")).endurance.parasitic_drains("parked")
    first, *others = reserve.largest
    assert first.element == "parts/display" and first.taken == pytest.approx(2.2, abs=0.2)
    assert [one.what for one in others] == ["charge-diode leaks", "input reserve-volts of audio-panel senses"]
    assert not main.largest


_BENCH = yaml_text(
    {
        "format": 1,
        "aircraft": {"name": "Bench", "nominal": "14 V", "airframe": "composite", "stage": "concept"},
        "parts": {
            "battery": {"kind": "battery", "capacity": "17 Ah"},
            "master": {"kind": "switch", "positions": {"down": [], "up": [["line", "load"]]}, "normal": "up"},
            "pump": {"kind": "load", "current": "3 A"},
            "alternator": {"kind": "alternator", "rating": "40 A"},
        },
        "wires": {
            "W1": {"from": "battery.positive", "to": "master.line"},
            "W2": {"from": "master.load", "to": "pump.supply"},
            "W3": {"from": "pump.return", "to": "battery.negative"},
            "W4": {"from": "alternator.output", "to": "master.load"},
            "W5": {"from": "alternator.ground", "to": "battery.negative"},
        },
    }
)


def test_a_crew_sits_in_the_state_before_the_start_that_is_made() -> None:
    facts = Facts(read_text(_BENCH, Path("bench.yaml")))
    assert "before-start" in facts.states.declared
    assert facts.endurance.unattended_states() == ("parked",)


def test_a_state_of_the_file_with_the_master_left_on_is_one_to_be_left_in() -> None:
    switches = "operation: {normal: cruise, states: {cruise: {engine: running, switches: {master: up}}, "
    left_on = "left: {use: ground, engine: stopped, switches: {master: up}}}}\n"
    facts = Facts(
        read_text(_BENCH.replace("normal: up", "label: M") + switches + left_on, Path("bench.yaml"))
    )
    assert facts.endurance.unattended_states() == ("left",)


def test_an_aircraft_is_left_with_its_engine_stopped_and_a_glider_as_it_stands() -> None:
    data = design("batteries-keep-their-charge-while-parked", "met")
    states = {**data["operation"]["states"], "idling": {"like": "parked", "engine": "running"}}
    idling = {**data, "operation": {**data["operation"], "states": states}}
    assert Facts(read_text(yaml_text(idling), "design.yaml")).endurance.parked_states() == ("parked",)
    glider = Facts(read_design(ROOT / "tests" / "aircraft" / "glider-two-batteries.design.yaml"))
    ground = [name for name, state in glider.states.declared.items() if state.use == "ground"]
    assert set(glider.endurance.parked_states()) & set(ground)
    assert {glider.states.declared[name].engine for name in ground} != {"stopped"}
