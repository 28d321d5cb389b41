"""A charger, or external power, that holds less than the pickup voltage of a relay does not pick it up."""

from __future__ import annotations

import pytest

from tests.analysis.small_designs import SmallDesign, cruise


@pytest.mark.parametrize(("pickup", "picks_up"), [("13.4 V", False), ("13.1 V", True)])
def test_a_relay_is_picked_up_by_a_charger_that_holds_its_volts(pickup: str, picks_up: bool) -> None:
    made = SmallDesign()
    made.parts["battery"]["chemistry"] = "lead-acid"
    made.add("charger", "charger", **{"from": "mains", "set-point": "13.2 V"})
    made.wire("charger.positive", "bus")
    made.wire("charger.negative", "ground")
    contacts = {"main": {"kind": "make", "joins": ["line", "load"]}}
    made.add("relay", "relay", coil=["plus", "minus"], contacts=contacts, **{"pickup-voltage": pickup})
    made.wire("bus", "relay.plus")
    made.wire("relay.minus", "ground")
    made.wire("bus", "relay.line")
    made.load("lamp", start="relay.load")
    healthy = cruise(made.facts(engine="stopped", use="ground", chargers=["charger"])).healthy
    assert healthy.alive["parts/charger"]
    assert bool(healthy.energised["parts/relay"]) == bool(healthy.powered["parts/lamp"]) == picks_up
