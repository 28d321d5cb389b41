"""Single points of failure."""

from __future__ import annotations

import pytest

from reviewer.analysis.cut_sets.single_points import (
    BODY,
    RETURN,
    SUPPLY,
    outermost,
    recoverable_points,
    single_points,
)
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook import loss_words
from tests.analysis.small_designs import SmallDesign, cruise, fails


def fire(*channels: str) -> SmallDesign:
    made = SmallDesign()
    for name in channels:
        made.load(name, made.protector(f"{name}-breaker"))
    made.function("fire", *channels)
    made.load("radio", made.protector("radio-breaker"))
    return made


def test_the_whole_path_of_a_lone_channel_is_single_points() -> None:
    points = fire("left").facts().failures.single_points
    assert {"parts/left-breaker", "parts/bus", "parts/battery", "parts/ground", "wires/W1"} <= set(points)


def test_the_feed_and_the_return_of_one_load_are_told_once_at_the_load() -> None:
    """The wires behind its breaker lose it and nothing else; the breaker's own short takes the bus too."""
    points = fire("left").facts().failures.single_points
    (lone,) = points["parts/left"]
    assert lone.series == ("wires/W4", "wires/W5") and not {"wires/W4", "wires/W5"} & set(points)
    both = SmallDesign()  # a lamp behind the same breaker, and back by the same wire, is lost too
    both.load("left", both.protector("left-breaker"))
    both.load("lamp", start="left-breaker.load", end="left.return")
    both.function("fire", "left")
    points = both.facts().failures.single_points
    assert points["parts/left"][0].series == () and {"wires/W4", "wires/W5"} <= set(points)


def test_with_two_channels_only_what_they_share_is() -> None:
    points = fire("left", "right").facts().failures.single_points
    assert {"parts/bus", "parts/battery"} <= set(points) and not {
        "parts/left-breaker",
        "parts/right-breaker",
    } & set(points)


def test_a_point_has_its_side_its_modes_and_its_path() -> None:
    points = fire("left").facts().failures.single_points
    (breaker,) = points["parts/left-breaker"]
    assert breaker.side == SUPPLY and breaker.modes[0] == "open" and "parts/left-breaker" in breaker.path
    assert points["wires/W2"][0].side == RETURN and points["parts/ground"][0].side == BODY


def test_a_recoverable_point_is_not_listed_as_one_for_good() -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("select", "switch", positions={"main": [["a", "out"]], "second": [["b", "out"]]})
    made.wire("bus", "select.a")
    made.wire("second-bus", "select.b")
    made.load("ignition", start="select.out")
    made.function("fire", "ignition")
    made.more["operation"] = {"actions": {"change": {"move": {"select": "second"}}}}
    failures = made.facts(switches={"select": "main"}).failures
    assert "parts/battery" in failures.recoverable_points and "parts/battery" not in failures.single_points
    assert "parts/select" in failures.single_points


def test_without_an_action_no_point_is_recoverable() -> None:
    """Every element of a lone path in turn stands first among the failures of its design."""
    made = SmallDesign()
    made.load("ignition", made.protector("breaker"))
    made.function("fire", "ignition")
    facts = made.facts()
    answer = cruise(facts)
    assert not answer.functions["fire"] & 1  # the first failure of the state loses it
    assert facts.failures.single_points and not facts.failures.recoverable_points
    assert recoverable_points(facts.design, facts.network, answer, {}) == ()
    found = {one.element for one in single_points(facts.design, facts.network, answer)}
    assert answer.failures[0].element in found


def test_shorts_that_one_breaker_clears_are_told_once_at_that_breaker_and_as_shared_by_its_channels() -> None:
    made = SmallDesign()
    made.add("shared-bus", "bus")
    made.run("bus", [made.protector("feed")], "shared-bus")
    for name in ("left", "right"):
        made.load(name, made.switch(f"{name}-switch"), start="shared-bus")
    made.load("radio", made.protector("radio-breaker"))
    made.function("fuel", "left", "right", loss="hazardous")
    made.function("engine", "fuel", any=1)
    failures = made.facts().failures
    (feed,) = failures.single_points["parts/feed"]
    assert {"parts/left-switch", "parts/right", "wires/W5"} <= set(feed.equivalent)
    assert "parts/left-switch" not in failures.single_points and feed.function == "engine"
    assert failures.loses_channels("engine", "parts/feed") and not failures.loses_channels(
        "engine", "parts/bus"
    )


def test_one_breaker_for_two_channels_is_a_common_cause() -> None:
    made = SmallDesign()
    made.add("shared-bus", "bus")
    made.run("bus", [made.protector("feed")], "shared-bus")
    for name in ("left", "right"):
        made.load(name, start="shared-bus")
    made.function("fire", "left", "right")
    assert made.facts().failures.shared_protectors("fire") == {"parts/feed": ("cruise", ("left", "right"))}
    assert fire("left", "right").facts().failures.shared_protectors("fire") == {}


def test_a_breaker_that_loses_one_channel_is_no_common_cause() -> None:
    made = fire("left", "right")
    made.load("spare", made.switch("spare-switch"))
    made.function("fire", "left", "right", "spare", any=2)
    failures = made.facts(switches={"spare-switch": "off"}).failures
    assert "parts/left-breaker" in failures.single_points and failures.shared_protectors("fire") == {}


def test_a_coil_breaker_whose_relay_drops_both_channels_feeds_neither() -> None:
    made = SmallDesign()
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"k": {"kind": "make", "joins": ["in", "out"]}}
    )
    made.run("bus", [made.protector("coil-breaker")], "relay.plus")
    made.wire("relay.minus", "ground")
    made.wire("bus", "relay.in")
    for name in ("left", "right"):
        made.load(name, made.protector(f"{name}-breaker"), start="relay.out")
    made.function("fire", "left", "right")
    failures = made.facts().failures
    assert "parts/coil-breaker" in failures.single_points and failures.shared_protectors("fire") == {}


def test_the_outermost_of_nested_functions_is_named() -> None:
    made = fire("left")
    made.function("flight", "fire", loss="hazardous")
    assert outermost(made.facts().design, ("fire", "flight")) == (
        "fire",
        "flight",
    )  # the outer one is less severe
    made = fire("left")
    made.function("flight", "fire")
    facts = made.facts()
    assert outermost(facts.design, ("fire", "flight")) == ("flight",)
    assert fails(facts, "wires/W1") in facts.failures.single_points["wires/W1"][0].failures


def test_a_load_that_fails_itself_has_lost_neither_its_feed_nor_its_return() -> None:
    made = fire("left")
    made.load("lamp", start="left-breaker.load", end="left.return")
    points = made.facts().failures.single_points
    told = {e: loss_words(points[e][0]) for e in ("parts/left", "wires/W4", "wires/W5")}
    assert told == {
        "parts/left": "left itself fails",
        "wires/W4": "left not powered",
        "wires/W5": "left loses its return",
    }


def test_what_a_load_takes_along_when_it_fails_is_told_beside_it() -> None:
    """The return of the right load passes the left one, and a short of the left supply takes the bus along."""
    made = SmallDesign()
    made.add("left", "load", returns=["a", "b"])
    made.wire("bus", "left.supply")
    made.wire("left.a", "ground")
    made.load("right", end="left.b")
    made.function("fire", "left", "right")
    point = made.facts().failures.single_points["parts/left"][0]
    assert point.lost == ("left", "right")
    assert loss_words(point) == "left itself fails, right not powered"


#: a magneto, an electronic ignition and another one, each lead past a plug or beside it, two of them in a loom
SHARED = """\
format: 1
aircraft: {name: Shared plug, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  ground: {kind: ground-block}
  plug: {kind: connector, pins: [a, b]}
  other-plug: {kind: connector, pins: [a, b]}
  key: {kind: switch, positions: {"off": [[lead, ground]], "on": []}, label: KEY}
  magneto: {kind: magneto}
  electronic: {kind: load, type: electronic}
  second: {kind: load, type: electronic}
wires:
  A1: {from: battery.positive, to: plug.a-plug}
  A2: {from: plug.a-socket, to: electronic.supply, bundle: loom}
  A3: {from: electronic.return, to: ground.a}
  A4: {from: battery.negative, to: ground.b}
  B1: {from: battery.positive, to: SECOND.b-plug}
  B2: {from: SECOND.b-socket, to: second.supply}
  B3: {from: second.return, to: ground.c}
  M1: {from: magneto.p-lead, to: LEAD.b-plug}
  M2: {from: LEAD.b-socket, to: key.lead, bundle: loom}
  M3: {from: key.ground, to: ground.d}
  M4: {from: magneto.ground, to: ground.e}
functions: {ignition: {any: 1, of: [electronic, CHANNEL], loss: catastrophic}}
operation: {normal: cruise, states: {cruise: {engine: running, switches: {key: "on"}}}}
"""


@pytest.mark.parametrize(
    ("lead", "second", "channel", "points"),
    [
        # apart, it opens both pins: one ignition has no power, and the magneto cannot be stopped and fires
        ("plug", "other-plug", "magneto", {"bundles/loom"}),
        # with two supplies both are lost
        ("other-plug", "plug", "second", {"parts/plug"}),
        ("plug", "other-plug", "second", set()),
    ],
)
def test_a_connector_that_comes_apart_opens_all_its_pins_and_grounds_no_p_lead(
    lead: str, second: str, channel: str, points: set[str]
) -> None:
    """A severed bundle does ground the p-lead: its conductor is cut against structure."""
    drawn = SHARED.replace("LEAD", lead).replace("SECOND", second).replace("CHANNEL", channel)
    found = Facts(read_text(drawn, "x")).failures.single_points
    assert {"bundles/loom", "parts/plug", "parts/other-plug"} & found.keys() == points
    silent = SHARED.replace("LEAD", "plug").replace("SECOND", "other-plug").replace("CHANNEL", "magneto")
    states = Facts(read_text(silent, "x")).states
    (answer,) = states.answers()
    number = next(i for i, f in enumerate(answer.failures) if f.element == "parts/plug" and not f.nodes)
    assert answer.failed.hot["parts/magneto"] >> number & 1
    assert not answer.failed.powered["parts/electronic"] >> number & 1
