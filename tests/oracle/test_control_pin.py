"""An external power socket with a control pin, in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.test_meaning_of_parts import works


def socket(coil: str) -> SmallDesign:
    """A socket whose contactor joins it to the bus; its coil is fed from a pin of the socket, or from the bus."""
    made = SmallDesign()
    made.add("socket", "external-power", control_pin=True, voltage="14 V", rating="100 A")
    contacts = {"main": {"kind": "make", "joins": ["line", "load"]}}
    made.add("contactor", "contactor", coil=["plus", "minus"], contacts=contacts)
    made.wire("socket.positive", "contactor.line")
    made.wire("contactor.load", "bus")
    made.wire(coil, "contactor.plus")
    made.wire("contactor.minus", "ground")
    made.wire("socket.negative", "ground")
    made.load("lamp", start="socket.control")
    return made


@pytest.mark.parametrize(
    ("coil", "plug", "expected"),
    [
        ("socket.control", "absent", set()),
        ("socket.control", "connected", {"contactor", "lamp"}),
        ("socket.positive", "absent", set()),
        ("socket.positive", "connected", {"contactor", "lamp"}),
        ("bus", "absent", {"contactor"}),
        ("bus", "connected", {"contactor", "lamp"}),
    ],
)
def test_the_control_pin_is_live_only_with_the_plug_in(coil: str, plug: str, expected: set[str]) -> None:
    """With its coil on the bus the contactor makes the main pin live from behind, and the control pin not."""
    made = socket(coil)
    made.states["cruise"] = {"engine": "running", "external-power": plug}
    assert works(made) == expected
    facts = made.facts()
    live = cruise(facts).healthy.live(facts.network.node("socket.positive"))
    assert bool(live) == (plug == "connected" or coil == "bus")


def test_without_the_key_there_is_no_such_pin() -> None:
    made = SmallDesign()
    made.add("socket", "external-power")
    assert made.facts().design.parts["socket"].terminals() == ("positive", "negative")
