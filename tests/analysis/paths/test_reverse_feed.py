"""Backfeed, and reserves that feed what they are not dedicated to."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign


def tied(*link: tuple[str, str], reserve: bool = True, **parts: dict) -> SmallDesign:
    made = SmallDesign()
    made.second_battery(**({"purpose": "reserve", "dedicated-to": ["ignition"]} if reserve else {}))
    made.load("ignition", start="second-bus")
    made.load("lamp")
    for name, fields in parts.items():
        made.add(name, **fields)
    made.run("bus", link, "second-bus")
    return made


def feeds(facts: Facts) -> list[tuple[str, str, bool]]:
    return [(f.source, f.into, f.both_ways) for f in facts.paths.reverse_feeds]


def test_a_reserve_joined_to_the_bus_backfeeds_the_main_battery() -> None:
    assert feeds(tied().facts()) == [("parts/second", "parts/battery", True)]


def test_behind_a_diode_it_does_not() -> None:
    made = tied(("diode.anode", "diode.cathode"), diode={"kind": "diode"})
    assert feeds(made.facts()) == []


def test_a_main_battery_may_feed_another_one_way_only_where_that_is_how_it_is_charged() -> None:
    assert feeds(tied(reserve=False).facts()) == [("parts/battery", "parts/second", True)]
    made = tied(("diode.anode", "diode.cathode"), reserve=False, diode={"kind": "diode"})
    assert feeds(made.facts()) == [("parts/battery", "parts/second", False)]
    made.alternator()
    assert feeds(made.facts()) == []


def test_a_diode_from_a_battery_into_one_that_is_charged_without_it_is_a_tie() -> None:
    made = tied(("diode.cathode", "diode.anode"), reserve=False, diode={"kind": "diode"})
    made.alternator()
    (feed,) = made.facts().paths.reverse_feeds
    assert (feed.source, feed.into, feed.open_leg) == ("parts/second", "parts/battery", "parts/bus")


def test_each_tie_that_remains_when_another_is_opened_is_a_backfeed_of_its_own() -> None:
    made = tied()
    made.add("breaker", kind="breaker", rating="5 A")
    made.run("bus", [("breaker.line", "breaker.load")], "second-bus")
    assert feeds(made.facts()) == 2 * [("parts/second", "parts/battery", True)]
    assert {"parts/breaker" in f.path for f in made.facts().paths.reverse_feeds} == {True, False}


def test_the_two_poles_of_one_switch_are_two_ties() -> None:
    """Opening the lead of the one leaves the other; only the switch opens both."""
    made = tied()
    straight = [n for n, w in made.wires.items() if w["from"].startswith("bus.") and "second-bus" in w["to"]]
    for name in straight:
        made.wires[name] = {"from": "lamp.return", "to": made.tab("ground")}
    joins = [["a", "b"], ["c", "d"]]
    made.add("switch", kind="switch", positions={"off": [], "on": joins})
    for one, other in joins:
        made.run("bus", [(f"switch.{one}", f"switch.{other}")], "second-bus")
    found = made.facts(switches={"switch": "on"}).paths.reverse_feeds
    assert [(f.source, f.into) for f in found] == 2 * [("parts/second", "parts/battery")]
    first, second = ({e for e in f.path if e.startswith("wires/")} for f in found)
    assert len(first - second) == len(second - first) == 2


def test_a_diode_beside_a_tie_is_a_tie_one_way_only() -> None:
    made = tied()
    made.add("diode", kind="diode")
    made.run("second-bus", [("diode.anode", "diode.cathode")], "bus")
    assert feeds(made.facts()) == [
        ("parts/second", "parts/battery", True),
        ("parts/second", "parts/battery", False),
    ]
    made = tied(reserve=False)
    made.add("diode", kind="diode")
    made.run("second-bus", [("diode.anode", "diode.cathode")], "bus")
    assert feeds(made.facts()) == [
        ("parts/battery", "parts/second", True),
        ("parts/second", "parts/battery", False),
    ]


def test_a_tie_that_a_switch_closes_is_found_beside_one_that_is_always_closed() -> None:
    made = tied()
    made.add("switch", kind="switch", positions={"off": [], "on": [["line", "load"]]})
    made.run("bus", [("switch.line", "switch.load")], "second-bus")
    closed, switched = made.facts(switches={"switch": "off"}).paths.reverse_feeds
    assert closed.state and "parts/switch" not in closed.path
    assert not switched.state and "parts/switch" in switched.path


def test_the_alternator_of_a_reserve_is_its_own_only_while_no_main_battery_is_on_its_bus() -> None:
    made = SmallDesign()
    made.second_battery(purpose="reserve")
    made.add("dynamo", "alternator", excitation="permanent-magnet")
    made.wire("dynamo.output", "second-bus")
    made.wire("dynamo.ground", "ground")
    assert feeds(made.facts()) == []
    made.run("bus", (), "second-bus")
    assert set(feeds(made.facts())) == {
        ("parts/second", "parts/battery", True),
        ("parts/second", "parts/dynamo", True),
    }


def test_a_combination_that_no_state_has_is_found_with_the_switch_that_is_moved() -> None:
    made = tied(
        ("switch.line", "switch.load"),
        switch={"kind": "switch", "positions": {"off": [], "on": [["line", "load"]]}},
    )
    (feed,) = made.facts(switches={"switch": "off"}).paths.reverse_feeds
    assert feed.state == "" and feed.combination is not None and feed.combination.moved == (("switch", "on"),)


def test_a_position_that_springs_back_is_left_out() -> None:
    made = tied(
        ("switch.line", "switch.load"),
        switch={
            "kind": "switch",
            "momentary": ["on"],
            "transfer": "break-before-make",
            "positions": {"off": [], "on": [["line", "load"]]},
        },
    )
    assert feeds(made.facts(switches={"switch": "off"})) == []


def test_a_reserve_that_powers_another_load_is_named_with_the_load() -> None:
    beyond = tied().facts().paths.beyond_purpose("second")
    assert [(one.load, one.state) for one in beyond] == [("parts/lamp", "cruise")]
    assert (
        tied(("diode.anode", "diode.cathode"), diode={"kind": "diode"}).facts().paths.beyond_purpose("second")
        == ()
    )


@pytest.mark.parametrize("engine", ["running", "stopped"])
def test_a_switch_that_lets_a_reserve_power_another_load_is_named_with_its_position(engine: str) -> None:
    """No declared state closes the tie; the lamp has two supplies, and only the second one is on the tie."""
    made = SmallDesign()
    made.second_battery(**{"purpose": "reserve", "dedicated-to": ["ignition"]})
    made.load("ignition", start="second-bus")
    made.add("lamp", "load", supplies=["main", "spare"])
    made.run("bus", [("diode.anode", "diode.cathode")], "lamp.main")
    made.add("diode", "diode")
    made.run("second-bus", [made.switch("tie")], "lamp.spare")
    made.wire("lamp.return", "ground")
    (one,) = made.facts(engine=engine, switches={"tie": "off"}).paths.beyond_purpose("second")
    assert (one.load, one.state) == ("parts/lamp", "") and one.path[-2:] == ("parts/tie", "wires/W10")
    assert one.combination is not None and one.combination.moved == (("tie", "on"),)
