"""By which input a monitor reads whose lead is not where the file declares it."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.network.meters import Meter, meters
from reviewer.network.sense_leads import SenseLead, deselected, sense_lead, wired_meters
from tests.analysis.small_designs import SmallDesign

VOLTS = {"volts": {"shows": "voltage", "senses": "battery.positive", "displayed-on": "display"}}
AMPS = {"amps": {"shows": "current", "senses": "shunt", "displayed-on": "display"}}


def panel(*inputs: str, stage: str = "detailed", **monitors: dict[str, Any]) -> SmallDesign:
    """A display with some inputs, on a bus of its own; two more buses to be read by mistake, and a shunt to a lamp."""
    made = SmallDesign()
    made.second_battery()
    made.add("panel-bus", "bus")
    made.add("panel-switch", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.run("second-bus", [("panel-switch.line", "panel-switch.load")], "panel-bus")
    made.add("other-bus", "bus")
    made.add("other-switch", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.run("bus", [("other-switch.line", "other-switch.load")], "other-bus")
    made.add("display", "instrument", inputs={name: {"signal": name} for name in inputs})
    made.wire("panel-bus", "display.supply")
    made.wire("display.return", "ground")
    made.add("shunt", "shunt", rating="20 A")
    made.load("lamp", ("shunt.line", "shunt.load"))
    made.more["aircraft"] = {"stage": stage}
    made.more["watch"] = {"monitors": monitors}
    return made


def read(made: SmallDesign, name: str = "volts") -> tuple[Meter, SenseLead, list[str]]:
    """A monitor as wired, its lead, and by which terminals it reads."""
    facts = made.facts(switches={name: "on" for name, part in made.parts.items() if part["kind"] == "switch"})
    meter = wired_meters(facts.design, facts.network)[name]
    lead = sense_lead(facts.design, facts.network, meters(facts.design, facts.network), name)
    return meter, lead, [facts.network.names[n].partition(".")[2] for n in meter.ends]


def test_of_one_input_that_is_elsewhere_its_reading_is_what_is_there() -> None:
    made = panel("one", **VOLTS)
    made.wire("second-bus", "display.one")
    meter, lead, ends = read(made)
    assert meter.stray and not meter.unknown and ends == ["one"]
    assert lead.stray is not None and lead.stray.at.startswith("second-bus")


@pytest.mark.parametrize(("stage", "unknown"), [("detailed", True), ("concept", False)])
def test_of_two_inputs_that_are_elsewhere_nobody_knows_which_is_meant(stage: str, unknown: bool) -> None:
    """To take the reading as declared would claim an indication that no wire gives."""
    made = panel("one", "two", stage=stage, **VOLTS)
    made.wire("second-bus", "display.one")
    made.wire("other-bus", "display.two")
    meter, lead, _ = read(made)
    assert (meter.unknown, meter.stray, lead.connected) == (unknown, False, False)


def test_a_second_input_by_one_selector_is_that_of_the_monitor_without_a_lead() -> None:
    """Both inputs read the second battery through a switch; one of them was to read the main battery."""
    other = {"shows": "voltage", "senses": "second-bus.sense", "displayed-on": "display"}
    made = panel("one", "two", **VOLTS, other=other)
    made.add("selector", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.add("stud", "stud")
    made.wire("second-bus.sense", "selector.line")
    made.wire("selector.load", "stud.in")
    made.wire("stud.one", "display.one")
    made.wire("stud.two", "display.two")
    meter, _, ends = read(made)
    assert meter.stray and ends == ["two"]
    facts = made.facts(switches={"panel-switch": "on", "other-switch": "on", "selector": "on"})
    kept = wired_meters(facts.design, facts.network)["other"]
    assert not kept.stray and not kept.unknown


@pytest.mark.parametrize(
    ("a", "b", "ends"),
    [
        ("shunt.line", "other-bus", ["a", "b"]),
        ("other-bus", "shunt.line", ["b", "a"]),
        ("shunt.load", "other-bus", ["b", "a"]),
        ("other-bus", "shunt.load", ["a", "b"]),
    ],
)
def test_the_lead_of_an_ammeter_that_is_at_its_shunt_says_which_is_high(
    a: str, b: str, ends: list[str]
) -> None:
    made = panel("a", "b", **AMPS)
    made.wire(a, "display.a")
    made.wire(b, "display.b")
    meter, _, found = read(made, "amps")
    assert meter.stray and found == ends


def test_of_an_ammeter_with_both_leads_elsewhere_the_file_does_not_say_which_is_high() -> None:
    made = panel("a", "b", **AMPS)
    made.wire("second-bus", "display.a")
    made.wire("other-bus", "display.b")
    meter, lead, _ = read(made, "amps")
    assert not meter.stray and not lead.connected


@pytest.mark.parametrize(("feeds_more", "at"), [(False, "other-bus"), (True, "fuse.load")])
def test_beyond_a_protector_that_feeds_other_things_is_another_point(feeds_more: bool, at: str) -> None:
    made = panel("one", **VOLTS)
    made.add("fuse", "fuse", rating="1 A")
    made.add("splice", "splice")
    made.wire("other-bus", "fuse.line")
    made.wire("fuse.load", "splice.in")
    made.wire("splice.out", "display.one")
    if feeds_more:
        made.load("clock", start="splice.more")
    _, lead, _ = read(made)
    assert lead.stray is not None and lead.stray.at.startswith(at)
    assert ("parts/fuse" in lead.stray.path) is not feeds_more


@pytest.mark.parametrize(
    ("to", "at"),
    [("lamp.supply", ""), ("sensor.signal", ""), ("ground", ""), ("other-switch.line", "other-switch.line")],
)
def test_an_input_at_a_unit_a_sensor_or_a_ground_is_no_stray_lead(to: str, at: str) -> None:
    made = panel("one", **VOLTS)
    made.add("sensor", "sensor")
    made.parts["lamp"]["supplies"] = ["supply", "more"]
    made.wire("sensor.return", "ground")
    made.wire("lamp.more" if to == "lamp.supply" else to, "display.one")
    if to == "other-switch.line":
        made.wires = {n: w for n, w in made.wires.items() if w["to"] != to}
    _, lead, _ = read(made)
    assert (lead.stray.at if lead.stray else "") == at and not lead.connected


def test_a_point_is_what_the_leads_of_several_inputs_come_to_and_no_other_input() -> None:
    made = panel("one", "two", **VOLTS)
    made.add("splice", "splice")
    made.wire("other-bus", "splice.in")
    made.wire("splice.a", "display.one")
    made.wire("splice.b", "display.two")
    _, lead, _ = read(made)
    assert lead.stray is not None and lead.stray.at.startswith("other-bus")
    assert lead.stray.inputs == ("display.one", "display.two")


def test_where_two_monitors_have_no_lead_nobody_knows_whose_the_stray_inputs_are() -> None:
    made = panel("one", "two", **VOLTS, other={**VOLTS["volts"], "senses": "bus.sense"})
    made.wire("second-bus", "display.one")
    made.wire("second-bus", "display.two")
    for name in ("volts", "other"):
        meter, lead, _ = read(made, name)
        assert meter.unknown and not meter.stray and lead.stray is not None


def test_the_input_that_a_drawn_lead_does_not_come_to_is_the_one_that_is_left() -> None:
    """Two inputs at one point: the nearer one reads it, so that the other was to read the main battery."""
    other = {"shows": "voltage", "senses": "second-bus.sense", "displayed-on": "display"}
    made = panel("one", "two", **VOLTS, other=other)
    made.add("splice", "splice")
    made.wire("second-bus.sense", "display.two")
    made.wire("second-bus.sense", "splice.in")
    made.wire("splice.out", "display.one")
    meter, _, ends = read(made)
    assert meter.stray and ends == ["one"]


def test_a_lead_that_comes_to_a_switch_and_to_a_bus_is_at_the_bus() -> None:
    made = panel("one", **VOLTS)
    made.add("splice", "splice")
    made.add("stud", "stud")
    made.add("spare", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.wire("splice.in", "display.one")
    made.wire("splice.near", "spare.line")
    made.run("splice.far", [("stud.in", "stud.out")], "other-bus")
    _, lead, _ = read(made)
    assert lead.stray is not None and lead.stray.at.startswith("other-bus")


@pytest.mark.parametrize(("position", "shown"), [("main", "volts"), ("other", "other"), ("off", "")])
def test_a_selector_shows_the_monitor_that_it_is_turned_to(position: str, shown: str) -> None:
    monitors = {
        "volts": "bus.sense",
        "other": "other-bus.sense",
        "lost": "lamp.supply",
        "direct": "second-bus.direct",
    }
    shown_by = {n: {**VOLTS["volts"], "senses": at} for n, at in monitors.items()}
    lit = {"shows": "live", "senses": "shunt.load", "displayed-on": "lamp"}
    made = panel("one", "two", **shown_by, lit=lit)
    positions = {"off": [], "main": [["common", "a"]], "other": [["common", "b"]]}
    made.add("selector", "switch", positions=positions)
    made.wire("bus.sense", "selector.a")
    made.wire("other-bus.sense", "selector.b")
    made.wire("selector.common", "display.one")
    made.wire("second-bus.direct", "display.two")
    switches = {"panel-switch": "on", "other-switch": "on", "selector": position}
    facts = made.facts(switches=switches)
    found = meters(facts.design, facts.network)
    away = {n for n, meter in found.items() if deselected(facts.design, facts.network, meter, switches)}
    # a lead of its own is never turned away, and what has none is not behind the selector
    assert away == {"volts", "other"} - {shown}
