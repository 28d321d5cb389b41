"""Monitors in the network, and what they read."""

from __future__ import annotations

import pytest

from reviewer.analysis.detection.monitors import readings
from reviewer.analysis.facts import Facts
from tests.analysis.detection.watched import volts, watched
from tests.analysis.small_designs import SmallDesign, cruise, fails


def reading(facts: Facts, name: str) -> tuple[int, ...]:
    return readings(facts.network, facts.detection.meters, cruise(facts).healthy)[name]


def with_lead() -> SmallDesign:
    made = watched(bus_volts=volts("bus.sense"))
    made.run("bus.sense", [made.protector("sense-fuse", "fuse")], "display.in-1")
    return made


def test_a_lead_is_the_conductors_from_the_sensed_terminal_to_the_input() -> None:
    facts = with_lead().facts()
    meter = facts.detection.meters["bus-volts"]
    assert meter.drawn and "parts/sense-fuse" in meter.lead
    assert meter.ends == (facts.network.node("display.in-1"),)


def test_without_a_lead_in_the_drawing_the_terminal_itself_is_read() -> None:
    facts = watched(bus_volts=volts("battery.positive")).facts()
    meter = facts.detection.meters["bus-volts"]
    assert not meter.drawn and meter.lead == () and meter.ends == meter.sensed


def test_a_voltmeter_tells_a_battery_from_a_charging_source() -> None:
    assert reading(with_lead().facts(), "bus-volts") == (1, 1, 0)
    made = with_lead()
    made.alternator()
    assert reading(made.facts(), "bus-volts") == (1, 1, 1)


def test_without_power_nothing_is_shown() -> None:
    assert reading(with_lead().facts(pulled=["display-breaker"]), "bus-volts") == (0, 0, 0)


def test_a_current_has_its_direction() -> None:
    made = watched(amps={"shows": "current", "senses": "shunt", "displayed-on": "display"})
    made.add("shunt", "shunt")
    made.add("far-bus", "bus")
    made.run("bus", [("shunt.line", "shunt.load")], "far-bus")
    made.load("lamp", start="far-bus")
    assert reading(made.facts(), "amps") == (1, 1, 0)


def test_a_lamp_shows_only_whether_it_is_lit() -> None:
    made = watched(light={"shows": "live", "senses": "lamp.supply", "displayed-on": "lamp"})
    made.load("lamp", made.protector("lamp-breaker"))
    facts = made.facts()
    assert reading(facts, "light") == (1,)
    assert "parts/lamp-breaker" in facts.detection.meters["light"].lead


def with_shunt(low: str) -> SmallDesign:
    """A display with an ammeter, its high lead from the line side of the shunt."""
    made = watched(amps={"shows": "current", "senses": "shunt", "displayed-on": "display"})
    made.add("shunt", "shunt")
    made.add("far-bus", "bus")
    made.run("bus", [("shunt.line", "shunt.load")], "far-bus")
    made.load("lamp", start="far-bus")
    made.wire("shunt.line", "display.in-1")
    made.wire(low, "display.in-2")
    return made


def test_an_ammeter_with_a_lead_elsewhere_shows_nothing_of_the_current() -> None:
    assert reading(with_shunt("shunt.load").facts(), "amps") == (1, 1, 0)
    for elsewhere in ("shunt.line", "battery.positive"):
        facts = with_shunt(elsewhere).facts()
        assert facts.detection.meters["amps"].stray
        assert reading(facts, "amps") == (1, 0, 0)


def test_a_voltmeter_whose_lead_is_elsewhere_reads_by_its_own_wires() -> None:
    made = watched(volts=volts("battery.positive"))
    made.second_battery()
    made.wire("second-bus", "display.in-1")
    facts = made.facts()
    meter = facts.detection.meters["volts"]
    assert not meter.drawn and meter.stray
    assert meter.ends == (facts.network.node("display.in-1"),)
    assert reading(facts, "volts") == (1, 1, 0)
    assert "volts" in facts.detection.evidence("cruise", fails(facts, "parts/second")).monitors


def test_a_voltmeter_keeps_to_what_it_senses_where_its_instrument_has_no_stray_input() -> None:
    made = watched(volts=volts("battery.positive"))
    made.add("probe", "sensor")
    made.wire("probe.signal", "display.in-1")
    meter = made.facts().detection.meters["volts"]
    assert not meter.stray and meter.ends == meter.sensed


@pytest.mark.parametrize(("start", "end"), [("bus", "lamp.supply"), ("second-bus", "second-bus.sense")])
def test_a_lamp_shows_what_feeds_it(start: str, end: str) -> None:
    made = watched(
        low=volts("second-bus.sense", displayed_on="lamp", alarm_below="13 V"),
    )
    made.second_battery()
    made.alternator()  # on the first bus
    made.load("lamp", made.protector("lamp-breaker"), start=start)
    facts = made.facts()
    meter = facts.detection.meters["low"]
    assert meter.stray is (start == "bus")
    assert meter.ends == (facts.network.node(end),)
    # the bus with the alternator is not below its alarm
    assert reading(facts, "low") == (0 if start == "bus" else 1,)
