"""What hangs on a circuit, and bundles of signals beside heavy or pulsed current."""

from __future__ import annotations

from reviewer.analysis.wiring.circuits import circuit, critical_loads, heavy_wires, signal_wires, users
from tests.analysis.operating_point.bench import bench
from tests.analysis.wiring.wired import wired


def test_a_circuit_ends_at_the_bus_and_at_the_ground() -> None:
    facts = bench()
    found = circuit(facts.design, facts.network, [facts.network.node("left-ignition.supply")])
    assert {"wires/W20", "wires/W21", "wires/W22", "parts/left-fuse", "parts/left-switch"} <= found.elements
    assert "wires/W23" not in found.elements and "wires/W1" not in found.elements
    assert users(facts.design, facts.network, [facts.network.node("left-fuse.load")]) == ("left-ignition",)


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
