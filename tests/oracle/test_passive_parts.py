"""Resistors, potentiometers and capacitors in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.test_meaning_of_parts import works


def lit(facts: Facts, failure: Failure) -> set[str]:
    """The loads that have power after a failure."""
    answer = cruise(facts)
    powered = conduct(facts.network, answer.state, [failure], answer.healthy).powered
    return {e.removeprefix("parts/") for e, mask in powered.items() if mask}


def small() -> SmallDesign:
    """A design whose battery can be solved."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    return made


def in_line() -> SmallDesign:
    """A lamp behind a fuse and a resistor, another at the bus."""
    made = small()
    made.add("fuse", "fuse", rating="5 A")
    made.add("it", "resistor", resistance="2 ohm", power="5 W")
    made.load("lamp", ("fuse.line", "fuse.load"), ("it.a", "it.b"), type="resistive", current="1 A")
    made.load("other", type="resistive", current="1 A")
    return made


def test_a_resistor_in_line_conducts_and_opens() -> None:
    made = in_line()
    assert works(made) == {"lamp", "other"}
    facts = made.facts()
    assert lit(facts, Failure("parts/it", Mode.OPEN)) == {"other"}
    assert lit(facts, fails(facts, "parts/it", Mode.SHORT, "it.b")) == {"other"}
    assert lit(facts, fails(facts, "parts/it", Mode.DIODE_SHORT)) == {"lamp", "other"}


def test_a_resistor_in_the_return_conducts_too() -> None:
    made = SmallDesign()
    made.add("it", "resistor", resistance="2 ohm")
    made.load("lamp", end="it.a")
    made.wire("it.b", "ground")
    assert works(made) == {"lamp"}


def across() -> SmallDesign:
    """A bleeder from a switched bar to ground, a lamp on the bar, another at the bus."""
    made = small()
    made.add("fuse", "fuse", rating="5 A")
    made.add("bar", "splice")
    made.add("it", "resistor", resistance="14 ohm", power="20 W")
    made.run("bus", [("fuse.line", "fuse.load")], "bar")
    made.load("lamp", start="bar", type="resistive", current="1 A")
    made.load("other", type="resistive", current="1 A")
    made.wire("bar", "it.a")
    made.wire("it.b", "ground")
    return made


def test_a_resistor_across_a_source_makes_nothing_live() -> None:
    """The ground is not hot: nothing is shorted there. Shorted through, it is a short that the fuse clears."""
    made = across()
    assert works(made) == {"lamp", "other"}
    facts = made.facts()
    answer = cruise(facts)
    assert facts.network.bridges and not answer.healthy.live(facts.network.node("it.b"))
    assert not [f for f in answer.failures if f.element == "parts/ground" and f.mode is Mode.SHORT]
    assert lit(facts, Failure("parts/it", Mode.OPEN)) == {"lamp", "other"}
    assert lit(facts, fails(facts, "parts/it", Mode.SHORT)) == {"other"}


def test_a_pull_up_on_a_switch_to_ground_joins_nothing_when_that_is_closed() -> None:
    made = SmallDesign()
    made.add("it", "resistor", resistance="1 kohm")
    made.wire("bus", "it.a")
    made.run("it.b", [made.switch("button")], "ground")
    made.load("lamp")
    assert works(made) == {"lamp"}
    facts = made.facts()
    assert not cruise(facts).healthy.live(facts.network.node("it.b"))


def test_a_resistor_before_a_change_over_is_in_line() -> None:
    """No position of a contact joins its resistor to ground: the other throw does."""
    made = SmallDesign()
    made.add("it", "resistor", resistance="1 ohm")
    positions = {"run": [["common", "on"]], "brake": [["common", "off"]]}
    made.add("switch", "switch", positions=positions)
    made.run("bus", [("it.a", "it.b")], "switch.on")
    made.wire("switch.off", "ground")
    made.load("motor", start="switch.common")
    made.states["cruise"] = {"engine": "running", "switches": {"switch": "run"}}
    assert works(made) == {"motor"}


def test_the_wiper_of_a_divider_is_fed_from_its_upper_end() -> None:
    made = SmallDesign()
    made.add("it", "potentiometer", resistance="100 ohm")
    made.wire("bus", "it.a")
    made.wire("it.b", "ground")
    made.load("lamp", start="it.wiper")
    assert works(made) == {"lamp"}
    facts = made.facts()
    assert not cruise(facts).healthy.live(facts.network.node("it.b"))
    assert lit(facts, Failure("parts/it", Mode.OPEN)) == set()


def test_a_capacitor_passes_no_current_and_grounds_its_feed_when_shorted() -> None:
    made = SmallDesign()
    made.add("fuse", "fuse", rating="5 A")
    made.add("it", "capacitor", capacitance="22 mF", voltage="25 V")
    made.run("bus", [("fuse.line", "fuse.load")], "it.positive")
    made.wire("it.negative", "ground")
    made.load("lamp", start="it.positive")
    made.load("other")
    made.load("beyond", start="it.negative")
    assert works(made) == {"lamp", "other"}
    facts = made.facts()
    assert lit(facts, Failure("parts/it", Mode.OPEN)) == {"lamp", "other"}
    assert lit(facts, fails(facts, "parts/it", Mode.SHORT)) == {"other"}


@pytest.mark.parametrize(("mode", "ohms"), [(None, 2.0), (Mode.DIODE_SHORT, 0.0)])
def test_a_resistor_in_line_drops_its_volts_until_it_is_shorted(mode: Mode | None, ohms: float) -> None:
    """The lamp of 14 ohm and the resistor divide the volts of the bus by their resistances."""
    facts = in_line().facts()
    case = () if mode is None else (fails(facts, "parts/it", mode),)
    point = facts.points.operating_point("cruise", None, case)
    feed, lamp = point.volts["it.a"], point.across["parts/lamp"]
    assert lamp / (feed - point.volts["ground"]) == pytest.approx(14 / (14 + ohms), rel=2e-3)
    assert point.amps["parts/it"] == pytest.approx(point.taken["parts/lamp"], rel=1e-3)


def test_a_resistor_across_a_source_takes_what_ohm_says() -> None:
    facts = across().facts()
    point = facts.points.operating_point("cruise", None, ())
    assert point.amps["parts/it"] == pytest.approx(point.volts["it.a"] / 14, rel=1e-3)
    total = point.taken["parts/lamp"] + point.taken["parts/other"] + point.amps["parts/it"]
    assert point.given["parts/battery"] == pytest.approx(total, rel=1e-3)
