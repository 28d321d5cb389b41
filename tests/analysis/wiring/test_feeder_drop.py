"""What the wires of an alternator lose on the way to the bus, worked by hand: AC 43.13-1B Table 11-9, 6 AWG 0.44 ohm per 1000 ft."""

from __future__ import annotations

import pytest

from reviewer.analysis.wiring.feeder_drop import FeederDrop
from reviewer.model.quantities import FOOT_M
from tests.analysis.small_designs import SmallDesign
from tests.edits import Edits, edited
from tests.rule_cases import design, facts, yaml_text

APART: Edits = {
    "remove": ["parts/alternator/set-point"],
    "parts/keeper": {
        "kind": "regulator",
        "regulates": "alternator",
        "set-point": "13.6 V",
        "senses": "supply",
    },
    "wires/W13/to": "keeper.supply",
    "wires/W13F": {"from": "keeper.field", "to": "alternator.field", "gauge": "20 AWG", "length": "0.3 m"},
    "wires/W13G": {"from": "keeper.ground", "to": "engine.keeper", "gauge": "18 AWG", "length": "0.3 m"},
}


def found(edits: Edits) -> FeederDrop:
    data = design("alternator-feeder-voltage-drop-is-within-limits", "met")
    known = facts(yaml_text(edited(data, edits) if edits else data))
    drop = known.wires.feeder_drop("parts/alternator")
    assert drop is not None
    return drop


def test_the_wires_lose_what_their_resistance_says() -> None:
    """0.1 m and 1.4 m of 6 AWG at 60 A."""
    drop = found({})
    assert (drop.bus, drop.regulated) == ("main-bus", 14.4)
    assert drop.volts == pytest.approx(60 * 0.44 / 1000 / FOOT_M * 1.5)


def test_the_volts_are_those_of_a_regulator_that_stands_apart() -> None:
    assert found(APART).regulated == 13.6


@pytest.mark.parametrize("kind", ["switch", "diode"])
def test_the_wires_are_those_of_the_way_that_conducts_both_ways(kind: str) -> None:
    """By two fuses and three wires, and not by a shorter way that is off or through a diode."""
    made = SmallDesign()
    figures = {"gauge": "6 AWG", "length": "1 m"}
    made.add("alternator", "alternator", excitation="permanent-magnet", rating="60 A", set_point="14.4 V")
    made.wire("alternator.ground", "ground")
    made.run("alternator.output", [made.protector("first", "fuse"), made.protector("second", "fuse")], "bus")
    long_way = [f"wires/{name}" for name in list(made.wires)[-3:]]
    if kind == "switch":
        between = made.switch("tie")
    else:
        made.add("tie", "diode", rating="60 A")
        between = ("tie.anode", "tie.cathode")
    made.run("alternator.output", [between], "bus")
    for wire in made.wires.values():
        wire |= figures
    made.load("radio")
    drop = made.facts(switches={"tie": "off"} if kind == "switch" else {}).wires.feeder_drop(
        "parts/alternator"
    )
    assert drop is not None and list(drop.wires) == long_way
