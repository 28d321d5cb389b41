"""A bus that no source feeds is called dead whatever leaks into it, and a bar of returns is not."""

from __future__ import annotations

import re

from reviewer.analysis.facts import Facts
from reviewer.questions.solve import solved_of
from reviewer.reading import read_text
from reviewer.reports.solve.text import solve_text

DRAWING = """
format: 1
aircraft: {name: Leaks, nominal: 14 V, airframe: composite, stage: concept}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}
  reserve-battery: {kind: battery, purpose: reserve, chemistry: lead-acid, capacity: 7 Ah}
  master: {kind: switch, transfer: break-before-make, positions: {down: [], up: [[line, load]]}}
  main-bus: {kind: bus}
  ground-bus: {kind: bus}
  charge-diode: {kind: diode, technology: schottky, drop: 0.4 V, drop-current: 10 A}
  lights: {kind: load, type: lamp, current: 2 A, minimum: 9 V}
  standby: {kind: load, type: electronic, current: 1 A, minimum: 9 V}
wires:
  W1: {from: main-battery.positive, to: master.line, resistance: 0.01 ohm}
  W2: {from: master.load, to: main-bus.feed, resistance: 0.01 ohm}
  W3: {from: main-bus.lights, to: lights.supply, resistance: 0.05 ohm}
  W4: {from: lights.return, to: ground-bus.lights, resistance: 0.05 ohm}
  W5: {from: main-battery.negative, to: ground-bus.battery, resistance: 0.001 ohm}
  W6: {from: main-bus.charge, to: charge-diode.anode, resistance: 0.02 ohm}
  W7: {from: charge-diode.cathode, to: reserve-battery.positive, resistance: 0.02 ohm}
  W8: {from: reserve-battery.negative, to: ground-bus.reserve, resistance: 0.001 ohm}
  W9: {from: reserve-battery.positive, to: standby.supply, resistance: 0.05 ohm}
  W10: {from: standby.return, to: ground-bus.standby, resistance: 0.05 ohm}
operation:
  normal: cruise
  states:
    cruise: {engine: running, switches: {master: up}}
    master-off: {like: cruise, use: abnormal, switches: {master: down}}
"""


def shown(state: str, text: str = DRAWING) -> dict[str, str]:
    facts = Facts(read_text(text, "x"))
    lines = solve_text("x", facts.design, solved_of(facts, state)).splitlines()
    return {found[1]: found[2] for line in lines if (found := re.match(r"    (\S+) +(.+)", line))}


def test_a_bus_behind_a_blocking_diode_is_dead() -> None:
    """Backwards the diode leaks some 25 microamperes, which the lamp brings down to a tenth of a millivolt."""
    facts = Facts(read_text(DRAWING, "x"))
    volts = facts.points.operating_point("master-off").volts["main-bus"]
    off = shown("master-off")
    assert 1e-5 < abs(volts) < 0.05
    assert (off["main-bus"], off["lights"], off["W3"]) == ("dead", "no power, or no current", "dead")
    assert off["ground-bus"].endswith("V") and off["standby"].startswith("12.")


def test_the_same_bus_is_live_with_the_master_on_and_the_ground_bus_never_dead() -> None:
    on = shown("cruise")
    assert on["main-bus"].startswith("12.") and on["ground-bus"] == "0.00 V"
    assert re.match(r"1\.\d+ A, ", on["W3"]) and re.match(r"1\.\d+ A, ", on["W4"])


def test_a_bus_that_a_leak_raises_to_what_a_voltmeter_shows_has_its_volts() -> None:
    """A pilot lamp of 14 kohm does not bring it down."""
    off = shown("master-off", DRAWING.replace("current: 2 A", "current: 1 mA"))
    assert re.match(r"0\.[1-9]\d V", off["main-bus"]), off["main-bus"]


def test_a_leak_has_two_digits() -> None:
    assert re.match(r"-0\.0\d{1,2} mA, ", shown("master-off")["W7"])
