"""The circuit of a scenario holds what conducts and lives in it."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, LEAKING, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.operating_point.answers import PLAIN
from reviewer.analysis.operating_point.circuit_build import build
from reviewer.analysis.operating_point.solved_state import OperatingPoint, scenario_of
from tests.analysis.operating_point.bench import bench
from tests.analysis.small_designs import SmallDesign


def test_a_source_that_is_not_alive_in_a_state_is_not_in_its_circuit() -> None:
    facts = bench()
    built = {}
    for state in ("cruise", "smoke-drill"):
        answer = facts.states.answer(state)
        built[state] = build(
            facts.design,
            facts.network,
            scenario_of(facts.design, facts.network, answer.state, answer.healthy),
        )
    assert set(built["cruise"].sources) == {"parts/main-battery", "parts/reserve-battery", "parts/alternator"}
    assert set(built["cruise"].loads) == {"parts/left-ignition", "parts/right-ignition", "parts/audio-panel"}
    assert set(built["cruise"].coils) == {"parts/main-contactor"} and set(built["cruise"].fields) == {
        "parts/alternator"
    }
    assert set(built["smoke-drill"].sources) == {"parts/main-battery", "parts/reserve-battery"}
    assert {"parts/left-ignition", "parts/right-ignition"} <= set(built["smoke-drill"].loads)


def worn(*failures: Failure) -> OperatingPoint:
    """Two motors of 2 A and 4 A, each by one pole of a switch, on a full battery of 10 milliohms; a diode from a dead bus."""
    made = SmallDesign()
    figures = {"chemistry": "lead-acid", "capacity": "17 Ah", "internal-resistance": "0.01 ohm"}
    made.parts["battery"] |= {**figures, "state-of-charge": "100 %"}
    made.add("switch", "switch", positions={"off": [], "on": [["a", "b"], ["c", "d"]]})
    for name, amps, pole in (("small", "2 A", ("a", "b")), ("large", "4 A", ("c", "d"))):
        terminals = (f"switch.{pole[0]}", f"switch.{pole[1]}")
        made.load(name, terminals, type="motor", current=amps, minimum="6 V")
    made.add("alternator", "alternator", excitation="permanent-magnet", rating="40 A", set_point="14.4 V")
    made.wire("alternator.output", "bus")
    made.wire("alternator.ground", "ground")
    made.add("diode", "diode", rating="10 A")
    made.add("dead-bus", "bus")
    made.run("dead-bus", [("diode.anode", "diode.cathode")], "bus")
    made.load("heater", start="dead-bus", type="heater", current="14 A")
    facts = made.facts(use="ground", engine="stopped", switches={"switch": "on"})
    return facts.points.operating_point("cruise", None, failures)


SOUND = worn()


def drop(point: OperatingPoint, one: str, other: str) -> float:
    """By how much more two terminals are apart than with nothing worn."""
    return (point.volts[one] - point.volts[other]) - (SOUND.volts[one] - SOUND.volts[other])


@pytest.mark.parametrize(
    ("position", "small", "large"), [("a", 1.0, 0.0), ("b", 1.0, 0.0), ("c", 0.0, 2.0), ("d", 0.0, 2.0)]
)
def test_a_worn_contact_drops_volts_in_its_own_pole(position: str, small: float, large: float) -> None:
    """Half an ohm with 2 A and with 4 A in it."""
    point = worn(Failure("parts/switch", DEGRADED, position=position, ohms=0.5))
    assert drop(point, "switch.a", "switch.b") == pytest.approx(small, abs=0.01)
    assert drop(point, "switch.c", "switch.d") == pytest.approx(large, abs=0.01)
    assert point.taken == pytest.approx(SOUND.taken, abs=1e-3)


def test_a_worn_battery_terminal_takes_the_current_of_all() -> None:
    point = worn(Failure("parts/battery", DEGRADED, ohms=0.5))
    assert drop(point, "battery.positive", "battery.negative") == pytest.approx(-3.0, abs=0.01)
    assert point.given["parts/battery"] == pytest.approx(6.0, abs=0.01)


@pytest.mark.parametrize(
    ("element", "amps"),
    [
        ("parts/alternator", 12.6 / 10),  # from its output to its ground
        ("parts/diode", 12.6 / (10 + 1)),  # against its direction, through a heater of one ohm
    ],
)
def test_what_leaks_takes_the_current_of_ohms_law_from_the_battery(element: str, amps: float) -> None:
    point = worn(Failure(element, LEAKING, ohms=10.0))
    assert SOUND.given["parts/battery"] == pytest.approx(6.0, abs=0.01)
    assert point.given["parts/battery"] - 6.0 == pytest.approx(amps, rel=0.02)


def test_a_load_that_a_failure_stops_takes_the_current_of_the_phase_in_all_other_cases() -> None:
    """2 A in the phase that the state has, 8 A in another; with its supply wire open, nothing."""
    made = SmallDesign()
    made.load("pump", type="motor", current={"rest": "2 A", "work": "8 A"}, minimum="6 V")
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.states["busy"] = made.states["cruise"] = {"engine": "stopped", "use": "ground", "switches": {}}
    made.more["operation"] = {
        "phases": {
            "rest": {"state": "cruise", "duration": "10 min"},
            "work": {"state": "busy", "duration": "10 min"},
        }
    }
    facts = made.facts()
    answer = facts.states.answer("cruise")
    cases = ((), (Failure("wires/W3", OPEN),))
    solved = conduct(facts.network, answer.state, cases, answer.healthy)
    points = facts.points.failed_points_in(answer, cases, solved, (PLAIN,))
    assert list(points.amps("parts/pump")) == pytest.approx([2.0, 0.0], abs=1e-6)
