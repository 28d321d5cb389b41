"""A machine of permanent magnets: its charge lamp, its control and its smoothing capacitor, seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.reading import Unreadable
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.test_meaning_of_parts import works


def machine(smoothing: bool = False, control: bool = True) -> SmallDesign:
    """A machine on the bus with a charge lamp; its control behind a switch; a lamp on the bus."""
    made = SmallDesign()
    made.alternator()
    made.add("lamp", "load", type="lamp", current="0.1 A")
    made.wire("bus", "lamp.supply")
    made.wire("lamp.return", "alternator.lamp")
    if control:
        made.run("bus", [made.switch("machine-switch")], "alternator.control")
    if smoothing:
        made.add("smoothing", "capacitor", capacitance="22 mF", voltage="25 V")
        made.parts["alternator"]["smoothing-capacitor"] = "smoothing"
        made.wire("alternator.output", "smoothing.positive")
        made.wire("smoothing.negative", "ground")
    made.load("other")
    return made


def on(facts: Facts, *case: Failure) -> set[str]:
    """The loads that have power after some failures, and the machine where it gives current."""
    answer = cruise(facts)
    solved = conduct(facts.network, answer.state, [case], answer.healthy)
    found = {**solved.powered, "parts/alternator": solved.alive["parts/alternator"]}
    return {e.removeprefix("parts/") for e, mask in found.items() if mask}


def test_the_lamp_is_dark_while_the_machine_gives_current() -> None:
    assert works(machine()) - {"alternator"} == {"other"}


@pytest.mark.parametrize("engine", ["running", "stopped"])
def test_the_lamp_is_lit_while_the_engine_stands(engine: str) -> None:
    made = machine()
    answer = cruise(made.facts(engine=engine))
    assert bool(answer.healthy.powered["parts/lamp"]) == (engine == "stopped")


def test_the_lamp_is_lit_when_the_machine_is_lost_or_its_control_opens() -> None:
    facts = machine().facts()
    assert on(facts) == {"other", "alternator"}
    assert on(facts, Failure("parts/alternator", Mode.OPEN)) == {"other", "lamp"}
    assert on(facts, Failure("parts/machine-switch", Mode.OPEN)) == {"other", "lamp"}
    assert on(facts, fails(facts, "parts/alternator", Mode.SHORT)) == set()


def test_without_a_wire_at_its_control_nothing_switches_it_off() -> None:
    facts = machine(control=False).facts()
    assert on(facts) == {"other", "alternator"}
    assert not facts.network.sources[-1].leads


def test_it_needs_its_capacitor_only_without_a_battery() -> None:
    facts = machine(smoothing=True).facts()
    battery, capacitor = (Failure(f"parts/{n}", Mode.OPEN) for n in ("battery", "smoothing"))
    assert on(facts, battery) == {"other", "alternator"}
    assert on(facts, capacitor) == {"other", "alternator"}
    assert on(facts, battery, capacitor) == set()


@pytest.mark.parametrize(
    ("smoothing", "control", "expected"),
    [
        (True, "on", {"other", "alternator"}),
        (True, "off", set()),
        (False, "on", {"other", "alternator"}),
    ],
)
def test_a_state_without_a_battery_is_entered_with_the_machine_running(
    smoothing: bool, control: str, expected: set[str]
) -> None:
    """Its own output keeps its control fed; with its switch off nothing does."""
    made = machine(smoothing=smoothing)
    wire = next(w for w in made.wires.values() if w["from"] == "battery.positive")
    wire["to"] = "battery-switch.line"
    made.switch("battery-switch")
    made.wire("battery-switch.load", "bus")
    switches = {"battery-switch": "off", "machine-switch": control}
    made.states["cruise"] = {"engine": "running", "switches": switches}
    assert on(made.facts()) == expected
    assert works(made) == expected


def test_without_its_capacitor_it_stops_then() -> None:
    made = machine(smoothing=True)
    del made.wires[next(n for n, w in made.wires.items() if w["from"] == "smoothing.negative")]
    del made.wires[next(n for n, w in made.wires.items() if w["from"] == "battery.positive")]
    assert on(made.facts()) == set()


def test_a_capacitor_that_is_not_joined_is_none() -> None:
    made = machine(smoothing=True)
    del made.wires[next(n for n, w in made.wires.items() if w["from"] == "smoothing.negative")]
    facts = made.facts()
    assert on(facts, Failure("parts/battery", Mode.OPEN)) == set()


def test_a_machine_that_names_no_capacitor_is_as_it_was() -> None:
    facts = machine().facts()
    assert on(facts, Failure("parts/battery", Mode.OPEN)) == {"other", "alternator"}


def test_a_dead_machine_shows_at_its_lamp() -> None:
    made = machine()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.parts["alternator"] |= {"rating": "20 A", "set-point": "14.2 V"}
    made.more["watch"] = {
        "monitors": {"no-charge": {"shows": "live", "senses": "alternator.lamp", "displayed-on": "lamp"}}
    }
    facts = made.facts()
    answer = cruise(facts)
    lost = Failure("parts/alternator", Mode.OPEN)
    (shown,) = facts.detection.indications_of("cruise", (lost,))
    assert "no-charge" in str(shown), shown
    assert answer.healthy.alive["parts/alternator"]
    dark, lit = (facts.points.operating_point("cruise", None, case) for case in ((), (lost,)))
    assert (dark.readings["no-charge"].value, lit.readings["no-charge"].value) == (0.0, 1.0)
    assert (lit.taken["parts/lamp"] > 0.09 and "parts/lamp" not in dark.taken) or dark.taken[
        "parts/lamp"
    ] < 1e-3


@pytest.mark.parametrize(
    ("named", "said"),
    [
        ("battery", "alternator alternator: `battery` is a battery, not a capacitor"),
        ("smothing", "alternator alternator: there is no capacitor `smothing` (did you mean `smoothing`?)"),
    ],
)
def test_a_smoothing_capacitor_must_be_one(named: str, said: str) -> None:
    made = machine(smoothing=True)
    made.parts["alternator"]["smoothing-capacitor"] = named
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert [problem.message for problem in caught.value.problems] == [said]


def test_a_wound_field_has_neither_lamp_nor_control() -> None:
    made = machine()
    made.parts["alternator"]["excitation"] = "field"
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert "has no terminal `lamp`" in caught.value.problems[0].message
