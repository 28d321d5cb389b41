"""What a network says of its links."""

from __future__ import annotations

from reviewer.network.graph import bare
from reviewer.network.network_build import build_network
from tests.analysis.small_aircraft import small
from tests.analysis.small_designs import SmallDesign


def test_links_are_told_apart_by_what_decides_whether_they_conduct() -> None:
    network = build_network(small().design)
    assert {bare(network.links[i].element) for i in network.protectors} == {
        "master-fuse", "field-breaker", "heater-breaker", "pump-breaker", "charge-fuse", "main-feed", "reserve-feed",
    }  # fmt: skip
    assert {element for _, element in network.diodes} == {
        "parts/charge-diode",
        "parts/main-diode",
        "parts/reserve-diode",
    }
    assert {(name, positions) for _, name, positions in network.switched} == {
        ("master-switch", frozenset({"on"})),
        ("radio-switch", frozenset({"on"})),
    }
    assert [(element, closed) for _, element, closed in network.relayed] == [("parts/master", True)]


def test_a_terminal_is_wired_where_something_else_is_joined_to_it() -> None:
    network = build_network(small().design)
    assert network.wired("heater.supply") and not network.wired("radio.level-return")
    assert not network.wired("nobody.there")


def test_a_battery_that_stands_on_another_passes_current_one_way_and_is_no_diode() -> None:
    made = SmallDesign()
    made.add("blocking", "diode")
    made.load("lamp", ("blocking.anode", "blocking.cathode"))
    made.add("lower", "battery", nominal="6 V")
    made.add("upper", "battery", nominal="6 V")
    made.wire("lower.negative", "ground")
    made.wire("lower.positive", "upper.negative")
    made.wire("upper.positive", "bus")
    network = made.facts().network
    assert [element for _, element in network.diodes] == ["parts/blocking"]
    assert {network.links[i].element for i in network.one_way} == {"parts/blocking", "parts/upper"}


def test_nobody_relies_on_an_alternator_once_the_engine_stops_nor_on_the_sun() -> None:
    """A charger that a bus feeds lives by that bus, and a battery by itself."""
    made = SmallDesign()
    made.alternator()
    for name, power in (("sun", "solar"), ("mains", "mains"), ("aux", "another-bus")):
        made.add(name, "charger", **{"from": power})
        made.wire(f"{name}.positive", "bus")
        made.wire(f"{name}.negative", "ground")
    made.wire("bus", "aux.input")
    made.wire("aux.input-return", "ground")
    assert set(made.facts().network.generation) == {"parts/alternator", "parts/sun", "parts/mains"}
