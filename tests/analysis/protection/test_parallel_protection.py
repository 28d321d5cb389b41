"""Breakers in parallel: what joins them, and what does not."""

from __future__ import annotations

import pytest

from reviewer.analysis.protection.parallel_protection import ParallelProtection
from tests.analysis.small_designs import SmallDesign


def two_breakers(joint: str, *, rating: str = "5 A") -> SmallDesign:
    """A lamp behind a breaker of 5 A, and another breaker from the same bus to a kind of part before it."""
    made = SmallDesign()
    made.add("first", "breaker", rating="5 A")
    made.add("second", "breaker", rating=rating)
    made.add("lead", "splice")
    ends = {
        "splice": ("joint.in", "joint.out"),
        "diode": ("joint.anode", "joint.cathode"),
        "shunt": ("joint.line", "joint.load"),
    }[joint]
    made.add("joint", joint)
    made.run("bus", [("first.line", "first.load")], "lead.in")
    made.run("bus", [("second.line", "second.load"), ends], "lead.in-2")
    made.load("lamp", start="lead")
    return made


@pytest.mark.parametrize(("joint", "joined"), [("splice", True), ("shunt", True), ("diode", False)])
def test_conductors_put_breakers_in_parallel_and_a_diode_does_not(joint: str, joined: bool) -> None:
    found = two_breakers(joint).facts().protection.parallel
    both = {"first": ParallelProtection(("second",), 10.0), "second": ParallelProtection(("first",), 10.0)}
    assert found == (both if joined else {})


def test_the_ratings_are_added_only_where_all_are_stated() -> None:
    made = two_breakers("splice")
    del made.parts["second"]["rating"]
    assert {one.amperes for one in made.facts().protection.parallel.values()} == {None}
