"""What could pass a current through a coil whose own circuit is open."""

from __future__ import annotations

from reviewer.analysis.switching.beside_coils import beside_coils
from tests.analysis.small_designs import SmallDesign


def test_a_lamp_from_the_switched_end_of_a_coil_to_the_ground_is_beside_it() -> None:
    """With the switch off the coil's current goes on by the lamp; another lamp, on the bus, has no part in it."""
    made = SmallDesign()
    contact = {"main": {"kind": "make", "joins": ["line", "load"]}}
    made.add("relay", "relay", coil=["plus", "minus"], contacts=contact)
    made.wire("bus", "relay.plus")
    made.run("relay.minus", [made.switch("switch")], "ground")
    made.load("warning", start="relay.minus")
    made.load("other")
    network = made.facts(switches={"switch": "off"}).network
    ((coil, others),) = beside_coils(network)
    assert coil.element == "parts/relay"
    assert [user.element for user in others] == ["parts/warning"]


def test_what_leads_to_an_end_that_nothing_else_is_joined_to_is_not_beside_it() -> None:
    """Lamps at the bus, one with its other end at a splice with nothing else, one with it at another lamp's end."""
    made = SmallDesign()
    contact = {"main": {"kind": "make", "joins": ["line", "load"]}}
    made.add("relay", "relay", coil=["plus", "minus"], contacts=contact)
    made.wire("bus", "relay.plus")
    made.run("relay.minus", [made.switch("switch")], "ground")
    made.add("splice", "splice")
    made.load("alone", end="splice")
    made.add("between", "splice")
    made.load("joined", end="between")
    made.load("last", start="between")
    network = made.facts(switches={"switch": "off"}).network
    ((coil, others),) = beside_coils(network)
    assert coil.element == "parts/relay"
    assert [user.element for user in others] == ["parts/joined"]
