"""The direction of the current in a shunt."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.current_direction import flow, without
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign, cruise


def behind_a_shunt() -> SmallDesign:
    """A battery and, past a shunt, a bus of its own with a lamp."""
    made = SmallDesign()
    made.add("shunt", "shunt")
    made.add("far-bus", "bus")
    made.run("bus", [("shunt.line", "shunt.load")], "far-bus")
    made.load("lamp", start="far-bus")
    return made


def direction(facts: Facts) -> tuple[int, int]:
    """(1 where current flows from line to load, 1 where it flows from load to line)."""
    network, healthy = facts.network, cruise(facts).healthy
    cut = without(network, healthy, "parts/shunt")
    return flow(network, healthy, cut, network.node("shunt.line"), network.node("shunt.load"))


def test_a_battery_discharges_through_it_into_a_load() -> None:
    assert direction(behind_a_shunt().facts()) == (1, 0)


@pytest.mark.parametrize("alternator", [True, False])
@pytest.mark.parametrize("powered", [True, False])
def test_where_nothing_beyond_it_takes_current_none_flows(powered: bool, alternator: bool) -> None:
    """A live bus with a load that is switched off, or with no load, is no discharge."""
    made = SmallDesign()
    made.add("shunt", "shunt")
    made.add("far-bus", "bus")
    made.run("bus", [("shunt.line", "shunt.load")], "far-bus")
    made.load("radio")
    if alternator:
        made.alternator()
    if powered:
        made.load("lamp", made.switch("lamp-switch"), start="far-bus")
        made.states["cruise"] = {"engine": "running", "switches": {"lamp-switch": "off"}}
    facts = made.facts()
    assert cruise(facts).healthy.live(facts.network.node("far-bus")) and direction(facts) == (0, 0)


@pytest.mark.parametrize(
    ("from_ground", "to_battery", "expected"), [("line", "load", (1, 0)), ("load", "line", (0, 1))]
)
def test_in_the_return_of_the_battery_current_flows_from_ground_to_it(
    from_ground: str, to_battery: str, expected: tuple[int, int]
) -> None:
    made = SmallDesign()
    made.add("shunt", "shunt")
    made.wires["W2"]["to"] = f"shunt.{to_battery}"
    made.wire(f"shunt.{from_ground}", "ground")
    made.load("lamp")
    assert direction(made.facts()) == expected


def test_an_alternator_behind_it_charges_the_battery() -> None:
    made = behind_a_shunt()
    made.add("alternator", "alternator", excitation="permanent-magnet")
    made.wire("alternator.output", "far-bus")
    made.wire("alternator.ground", "ground")
    assert direction(made.facts()) == (0, 1)


def test_an_alternator_that_stands_still_charges_nothing() -> None:
    made = behind_a_shunt()
    made.add("alternator", "alternator", excitation="permanent-magnet")
    made.wire("alternator.output", "far-bus")
    made.wire("alternator.ground", "ground")
    assert direction(made.facts(engine="stopped")) == (1, 0)


def test_beside_a_second_path_nothing_is_certain() -> None:
    made = behind_a_shunt()
    made.wire("bus", "far-bus")
    assert direction(made.facts()) == (0, 0)


def test_without_it_the_far_side_is_not_fed() -> None:
    facts = behind_a_shunt().facts()
    cut = without(facts.network, cruise(facts).healthy, "parts/shunt")
    assert cut.conducts == 1
    assert (
        not cut.fed["parts/battery"][facts.network.node("far-bus")]
        and cut.fed["parts/battery"][facts.network.node("bus")]
    )
