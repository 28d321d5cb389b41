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


PARKED = """
format: 1
aircraft: {name: Parked, nominal: 14 V, airframe: composite, stage: concept}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 24 Ah, open-circuit-voltage: 12.7 V, internal-resistance: 10 mohm}
  reserve-battery: {kind: battery, purpose: reserve, chemistry: lead-acid, capacity: 9 Ah, internal-resistance: 20 mohm}
  master: {kind: switch, positions: {down: [], up: [[line, load]]}}
  main-bus: {kind: bus}
  charge-diode: {kind: diode, duty: isolation, protects: reserve-battery, drop: 0.5 V, drop-current: 20 A, leakage: 0.5 mA}
  clock: {kind: load, type: electronic, current: 40 mA, standby: 15 mA, minimum: 6 V}
  display: {kind: instrument, current: 1 A, minimum: 9 V, inputs: {reserve: {signal: reserve-in, reads: voltage, resistance: 100 kohm}}}
wires:
  W1: {from: main-battery.positive, to: master.line, resistance: 0.002 ohm}
  W2: {from: master.load, to: main-bus.feed, resistance: 0.002 ohm}
  W3: {from: main-bus.charge, to: charge-diode.anode, resistance: 0.01 ohm}
  W4: {from: charge-diode.cathode, to: reserve-battery.positive, resistance: 0.01 ohm}
  W5: {from: reserve-battery.negative, to: main-battery.negative, resistance: 0.005 ohm}
  W6: {from: main-battery.positive, to: clock.supply, resistance: 0.05 ohm}
  W7: {from: clock.return, to: main-battery.negative, resistance: 0.05 ohm}
  W8: {from: main-bus.display, to: display.supply, resistance: 0.05 ohm}
  W9: {from: display.return, to: main-battery.negative, resistance: 0.05 ohm}
  W10: {from: reserve-battery.positive, to: display.reserve-in, resistance: 0.05 ohm}
operation:
  normal: cruise
  states:
    cruise: {engine: running, switches: {master: up}}
    parked: {like: cruise, use: ground, engine: stopped, switches: {master: down}, dead: [main-bus]}
"""


def test_a_clock_on_one_battery_and_a_leaking_diode_on_the_other_worked_by_hand() -> None:
    """The clock takes 0.21 W, 15 mA at 14 V: at 12.7 V 16.5 mA, which take 12 Ah in 30.2 days.

    The reserve gives 0.5 mA to its diode, as its maker says and once, and 14 V over 100 kohm: 0.64 mA take 4.5 Ah in 293 days.
    """
    main, reserve = Facts(read_text(PARKED, "x")).endurance.parasitic_drains("parked")
    assert main.amperes[0] == pytest.approx(0.21 / 12.7, rel=0.002)
    assert main.days[0] == pytest.approx(30.2, abs=0.1)
    assert reserve.amperes == (pytest.approx(0.00064, rel=1e-3), pytest.approx(0.00064, rel=1e-3))
    assert reserve.days[0] == pytest.approx(293.0, abs=0.5)
