"""An ignition whose second feed leaves too few volts while the engine is cranked, against a calculation by hand.

The main battery has 12.6 V and 20 milliohm, the starter takes 190 A. With its feed from the reserve battery lost the ignition is fed by the
battery that cranks, by 50 milliohm of wire, a 7.5 A fuse of 70 mV at its rating (9.33 milliohm) and the diode inside it (0.05 V). It takes
28 W, and below its minimum of 9 V what a resistance takes that has these 28 W at 9 V:

    I = 28 V / 81,   12.6 - 0.020 (190 + I) - (0.0002 + 0.00933 + 0.050) I - 0.05 = V   ->   V = 8.75 / (1 + 0.07953 x 0.3457) = 8.516 V

to 2 mV, as the diode drops a little more at this current.
"""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.questions.effects import effects_of
from reviewer.reading import read_text

DRAWING = """
format: 1
aircraft: {name: Start on one feed, nominal: 14 V, airframe: composite, stage: concept}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah, open-circuit-voltage: 12.6 V, internal-resistance: 0.02 ohm}
  reserve-battery: {kind: battery, purpose: reserve, dedicated-to: [ignition], chemistry: lead-acid, capacity: 7 Ah,
      open-circuit-voltage: 12.6 V, internal-resistance: 0.05 ohm}
  main-fuse: {kind: fuse, rating: 7.5 A}
  reserve-fuse: {kind: fuse, rating: 7.5 A}
  ignition: {kind: load, type: electronic, current: 2 A, minimum: 9 V, supplies: [supply, second]}
  start-button: {kind: switch, transfer: break-before-make, momentary: [start], positions: {released: [], start: [[line, load]]}}
  starter: {kind: load, type: starter, current: 190 A, minimum: 5 V}
wires:
  W1: {from: main-battery.positive, to: start-button.line, resistance: 0.0001 ohm}
  W2: {from: start-button.load, to: starter.supply, resistance: 0.001 ohm}
  W3: {from: starter.return, to: main-battery.negative, resistance: 0.001 ohm}
  W4: {from: main-battery.positive, to: main-fuse.line, resistance: 0.0001 ohm}
  W5: {from: main-fuse.load, to: ignition.supply, resistance: 0.05 ohm}
  W6: {from: reserve-battery.positive, to: reserve-fuse.line, resistance: 0.0001 ohm}
  W7: {from: reserve-fuse.load, to: ignition.second, resistance: 0.05 ohm}
  W8: {from: ignition.return, to: main-battery.negative, resistance: 0.0001 ohm}
  W9: {from: reserve-battery.negative, to: main-battery.negative, resistance: 0.0001 ohm}
functions:
  firing: {any: 1, of: [ignition], loss: catastrophic}
operation:
  normal: cruise
  states:
    cruise: {engine: running, switches: {start-button: released}}
    cranking: {like: cruise, use: ground, engine: cranking, switches: {start-button: start}}
  phases:
    start: {state: cranking, duration: 10 s}
"""
LOST_FEED = Failure("wires/W7", OPEN)


def drawn(*edits: tuple[str, str]) -> Facts:
    text = DRAWING
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "x"))


def told(facts: Facts) -> tuple[tuple[str, ...], list[str]]:
    (effect,) = [e for e in effects_of(facts, "cranking").effects if e.failure == LOST_FEED]
    return effect.low, [name for name, _ in effect.functions]


def test_solve_has_the_volts_of_the_calculation() -> None:
    point = drawn().points.operating_point("cranking", "start", (LOST_FEED,))
    assert point.across["parts/ignition"] == pytest.approx(8.516, abs=0.002)


def test_effects_call_it_low_and_its_function_lost() -> None:
    assert told(drawn()) == (("parts/ignition",), ["firing"])


@pytest.mark.parametrize(
    "edit",
    [
        pytest.param(("minimum: 9 V", "minimum: 8 V"), id="it bears the volts"),
        pytest.param(
            ("minimum: 9 V", "minimum: 9 V, hold-up: 10 s"), id="it works on until the start is over"
        ),
        pytest.param(("current: 190 A", "current: 160 A"), id="a starter that takes less"),
    ],
)
def test_it_keeps_its_function(edit: tuple[str, str]) -> None:
    assert told(drawn(edit)) == ((), [])


@pytest.mark.parametrize("edits", [(("hold-up: 50 ms", "hold-up: 50 ms"),), (("    start: {state: cranking, duration: 10 s}", "    start: {state: cranking}"),)])  # fmt: skip
def test_what_bridges_a_moment_is_low_all_the_same(edits: tuple[tuple[str, str], ...]) -> None:
    assert told(drawn(("minimum: 9 V", "minimum: 9 V, hold-up: 50 ms"), *edits)) == (
        ("parts/ignition",),
        ["firing"],
    )


def test_a_start_on_the_ground_is_no_single_point_and_one_in_normal_flight_is() -> None:
    assert "parts/reserve-fuse" not in drawn().failures.single_points
    assert "parts/reserve-fuse" not in drawn(("use: ground", "use: abnormal")).failures.single_points
    (point,) = drawn(("use: ground", "use: flight")).failures.single_points["parts/reserve-fuse"]
    assert (point.state, point.low) == ("cranking", ("ignition",))
    ((_, volts, minimum),) = point.low_volts
    assert (volts, minimum) == (pytest.approx(8.516, abs=0.002), 9.0)
    assert (
        "parts/reserve-fuse"
        not in drawn(("use: ground", "use: flight"), ("minimum: 9 V", "minimum: 8 V")).failures.single_points
    )
