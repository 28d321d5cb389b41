"""Diodes across coils, as parts and inside relays: paths from the negative side of the coil."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.conduction.failure_modes import Mode
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise, fails

ACROSS = ("a part", "inside")


def relay(diode: str, reversed_: bool = False) -> SmallDesign:
    """A pump behind a relay whose coil is fed by a breaker, with a radio on the same breaker and a lamp
    on its own."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "15 Ah"}
    made.add("breaker", "breaker", rating="5 A")
    made.add("lamp-breaker", "breaker", rating="5 A")
    contacts = {"main": {"kind": "make", "joins": ["line", "load"]}}
    inside = {"suppression": "diode"} if diode == "inside" else {}
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts=contacts, **{"coil-current": "0.2 A"}, **inside
    )
    made.wire("bus", "breaker.line")
    ends = ("relay.minus", "relay.plus") if reversed_ else ("relay.plus", "relay.minus")
    made.wire("breaker.load", ends[0])
    made.wire(ends[1], "ground")
    if diode == "a part":
        made.add("diode", "diode", duty="suppression")
        made.wire("relay.minus", "diode.anode")
        made.wire("diode.cathode", "relay.plus")
    made.load("pump", ("relay.line", "relay.load"), current="4 A")
    made.load("radio", start="breaker.load", current="1 A")
    made.load("lamp", ("lamp-breaker.line", "lamp-breaker.load"), type="lamp", current="2 A")
    return made


def element(diode: str) -> str:
    return "parts/relay" if diode == "inside" else "parts/diode"


@pytest.mark.parametrize("diode", ACROSS)
def test_shorted_it_opens_the_breaker_of_the_coil(diode: str) -> None:
    """Unlike one that is shorted in line, which only conducts both ways."""
    facts = relay(diode).facts()
    failure = fails(facts, element(diode), Mode.DIODE_SHORT)
    number = cruise(facts).failures.index(failure)
    powered = cruise(facts).failed.powered
    lit = {name for name in ("pump", "radio", "lamp") if powered[f"parts/{name}"] >> number & 1}
    assert lit == {"lamp"}
    point = facts.points.operating_point("cruise", case=(failure,))
    assert point.volts["lamp.supply"] > 12.0 and point.given["parts/battery"] < 2.1


@pytest.mark.parametrize("diode", ACROSS)
def test_a_short_at_the_coil_leaves_the_grounds_of_the_others(diode: str) -> None:
    """No current flows from ground through the diode into a short to ground."""
    facts = relay(diode).facts()
    failure = fails(facts, "parts/relay", Mode.SHORT, "relay.plus")
    point = facts.points.operating_point("cruise", case=(failure,))
    assert point.volts["lamp.supply"] > 12.0 and point.volts["lamp.return"] == pytest.approx(0.0, abs=0.1)
    number = cruise(facts).failures.index(failure)
    assert not cruise(facts).failed.zone[facts.network.node("ground")] >> number & 1


def test_a_coil_with_a_diode_inside_that_is_reversed_shorts_the_battery() -> None:
    right, wrong = relay("inside").facts(), relay("inside", reversed_=True).facts()
    assert right.paths.inner_diode_is_right("relay") and not wrong.paths.inner_diode_is_right("relay")
    amps = [abs(f.points.operating_point("cruise").given["parts/battery"]) for f in (right, wrong)]
    assert amps[0] < 8.0 and amps[1] > 100.0


def test_no_coil_diode_is_tried_where_there_is_none() -> None:
    failures = cruise(relay("").facts()).failures
    assert not [f for f in failures if f.mode is Mode.DIODE_SHORT]


def shared_low_side(suppression: str, apart: bool = False, **second: Any) -> Facts:
    """A relay on each of two buses, their coils switched to ground by one switch, or each apart;
    what a second battery holds up on the negative side is then on the coil of the other."""
    made = SmallDesign()
    made.second_battery(**second)
    made.alternator()
    contacts = {"main": {"kind": "make", "joins": ["line", "load"]}}
    for name in ("one", "other"):
        made.add(
            name, "relay", coil=["plus", "minus"], contacts=contacts, suppression=suppression,
            **{"coil-current": "0.1 A"},
        )  # fmt: skip
    line, load = made.switch("test")
    made.wire("bus", "one.plus")
    made.wire("second-bus", line)
    made.wire(load, "one.minus" if not apart else "other.plus")
    made.wire("other.minus", "ground")
    return made.facts(switches={"test": "on"})


@pytest.mark.parametrize(("suppression", "fed"), [("diode", True), ("internal", False)])
@pytest.mark.parametrize("purpose", ["main", "reserve"])
def test_a_second_battery_at_the_negative_side_of_a_coil_feeds_the_bus_through_its_diode(
    suppression: str, fed: bool, purpose: str
) -> None:
    facts = shared_low_side(suppression, purpose=purpose)
    bus = facts.network.node("bus")
    assert bool(cruise(facts).healthy.fed["parts/second"][bus]) is fed
    assert ("parts/second", "parts/battery") in feeds(facts) or not fed
    assert not feeds(facts) or fed


def feeds(facts: Facts) -> list[tuple[str, str]]:
    return [(f.source, f.into) for f in facts.paths.reverse_feeds]


def test_one_whose_coil_is_apart_feeds_nothing_back() -> None:
    assert not shared_low_side("diode", apart=True).paths.reverse_feeds
