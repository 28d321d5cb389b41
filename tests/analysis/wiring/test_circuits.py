"""What hangs on a circuit, and bundles of signals beside heavy or pulsed current."""

from __future__ import annotations

import pytest

from reviewer.analysis.wiring.circuits import circuit, critical_loads, heavy_wires, signal_wires, users
from tests.analysis.operating_point.bench import bench
from tests.analysis.small_designs import SmallDesign
from tests.analysis.wiring.wired import wired


def test_a_circuit_ends_at_the_bus_and_at_the_ground() -> None:
    facts = bench()
    found = circuit(facts.design, facts.network, [facts.network.node("left-ignition.supply")])
    assert found.elements == {f"wires/W{n}" for n in (20, 21, 22)} | {"parts/left-fuse", "parts/left-switch"}
    assert users(facts.design, facts.network, [facts.network.node("left-fuse.load")]) == ("left-ignition",)


def test_neither_a_bus_nor_a_shield_is_part_of_a_circuit_that_begins_there() -> None:
    shield = "shield: [audio-panel.mic-return"
    facts = bench((shield, f"{shield}, main-ground.shield"))
    network = facts.network
    bus = circuit(facts.design, network, [network.node("main-bus.audio")])
    assert "wires/W50" in bus.elements and "parts/main-bus" not in bus.elements
    jack = circuit(facts.design, network, [network.node("audio-panel.mic-return")])
    assert jack.elements == {"wires/W54"} and network.node("main-ground.shield") not in jack.nodes


@pytest.mark.parametrize(("others", "passed"), [(0, True), (1, False)])
def test_a_stud_that_joins_two_wires_is_passed_and_one_that_joins_more_is_a_bar(
    others: int, passed: bool
) -> None:
    made = SmallDesign()
    made.add("post", "stud")
    made.wire("bus", "post")  # W3
    made.load("lamp", start="post")
    for n in range(others):
        made.load(f"lamp-{n}", start="post")
    facts = made.facts()
    found = circuit(facts.design, facts.network, [facts.network.node("lamp.supply")])
    assert ("wires/W3" in found.elements) is passed


def test_the_wires_of_the_alternator_and_the_battery_are_heavy_and_those_of_the_jack_carry_signals() -> None:
    facts = bench()
    heavy = heavy_wires(facts.design, facts.network)
    assert {f"wires/W{n}" for n in (1, 3, 4, 7, 8)} <= set(heavy) and not {"wires/W50", "wires/W21"} & set(
        heavy
    )
    assert set(signal_wires(facts.design, facts.network)) == {"wires/W53", "wires/W54"}


def test_critical_loads_are_those_of_functions_whose_loss_is_hazardous_or_worse() -> None:
    assert critical_loads(bench().design) == {"left-ignition", "right-ignition"}
    assert "pitot-heater" not in critical_loads(wired().design)
