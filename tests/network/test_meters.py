"""By which lead a monitor reads what it senses."""

from __future__ import annotations

import pytest

from reviewer.network.meters import meters
from tests.analysis.small_designs import SmallDesign


@pytest.mark.parametrize(("by", "drawn"), [("fuse", True), ("switch", False), ("diode", False)])
def test_a_sense_lead_is_of_conductors_and_protection_alone(by: str, drawn: bool) -> None:
    """What a contact opens, or a diode blocks, is no lead by which the volts of the bus are always read."""
    made = SmallDesign()
    made.add("display", "instrument", inputs={"volts": {"signal": "in"}})
    made.wire("bus", "display.supply")
    made.wire("display.return", "ground")
    if by == "diode":
        made.add("between", "diode")
        ends = ("between.anode", "between.cathode")
    else:
        ends = made.switch("between") if by == "switch" else made.protector("between", by)
    made.run("bus.sense", [ends], "display.in")
    made.more["watch"] = {
        "monitors": {"bus-volts": {"shows": "voltage", "senses": "bus.sense", "displayed-on": "display"}}
    }
    facts = made.facts()
    meter = meters(facts.design, facts.network)["bus-volts"]
    assert meter.drawn is drawn
