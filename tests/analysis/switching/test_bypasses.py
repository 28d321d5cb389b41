"""Contacts that a conductor bypasses: where one is found, the plain evaluator finds the load on in every position."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from types import MappingProxyType

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import HazardClass
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import solve
from tests.rule_cases import assess, design, text


def switched(jumper: tuple[str, str] | None = None, by: str = "wire") -> Facts:
    """A load behind a switch and a splice, and something from one point to another."""
    made = SmallDesign()
    made.add("joint", "splice")
    made.load("lamp", made.switch("key"), ("joint", "joint"))
    if jumper and by == "fuse":
        made.run(jumper[0], [made.protector("fuse")], jumper[1])
    elif jumper and by == "switch":
        made.run(jumper[0], [made.switch("second")], jumper[1])
    elif jumper:
        made.wire(*jumper)
    return made.facts()


def goes_out(facts: Facts) -> bool:
    """Whether some position of ``key`` takes the lamp off, the other switches off."""
    circuit, state = circuit_of(facts.design), cruise(facts).state
    off = {name: "off" for name in state.switches if name != "key"}
    answers = [
        solve(circuit, replace(state, switches=MappingProxyType({**off, "key": at})))
        for at in facts.design.parts["key"].positions
    ]
    return not all(a.powered["parts/lamp"] for a in answers)


@pytest.mark.parametrize("by", ["wire", "fuse"])
@pytest.mark.parametrize("end", ["key.load", "joint", "lamp.supply"])
def test_a_conductor_around_the_contact_is_found(by: str, end: str) -> None:
    facts = switched(("key.line", end), by)
    (found,) = facts.switches.bypasses
    assert (found.element, found.users) == ("parts/key", ("lamp",)) and not goes_out(facts)


@pytest.mark.parametrize(("jumper", "by"), [(None, ""), (("key.line", "lamp.supply"), "switch")])
def test_what_can_be_opened_is_no_bypass(jumper: tuple[str, str] | None, by: str) -> None:
    facts = switched(jumper, by)
    assert facts.switches.bypasses == () and goes_out(facts)


def test_a_second_feed_from_the_bus_is_no_bypass_of_the_switch() -> None:
    assert switched(("bus", "lamp.supply"), "fuse").switches.bypasses == ()


def test_a_relay_that_an_overvoltage_trip_opens_is_graver_than_another() -> None:
    rule = "contacts-are-not-bypassed"
    found = deepcopy(design(rule, "a jumper across the relay that the overvoltage trip opens in the field"))
    (finding,) = assess(rule, text(found)).findings
    assert finding.hazard is HazardClass.MAJOR
    assert finding.sentence.endswith("nor alternator by its overvoltage trip.")
    found["wires"]["T4"] = {"from": "main-bus.field-2", "to": "alternator.field"}
    (finding,) = assess(rule, text(found)).findings
    assert finding.hazard is HazardClass.MINOR
