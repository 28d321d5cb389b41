"""What circuits have in common, folded once: each is solved as it is by itself."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import numpy as np
import pytest

from reviewer.analysis.solver.circuit import BatteryBranch, Device, LoadBranch, NodalCircuit, Resistor
from reviewer.analysis.solver.nonlinear import solve
from reviewer.analysis.solver.trunk import Trunk

NODES, OHMS = 40, (0.0, 0.004, 0.02, 0.3)


def resistors(chance: Random, count: int, nodes: int) -> list[Resistor]:
    """By chance between some nodes: chains, rings, dead ends, ideal joints, and parts that nothing joins."""
    pairs = [sorted(chance.sample(range(nodes), 2)) for _ in range(count)]
    return [Resistor(a, b, chance.choice(OHMS), chance.random() < 0.5) for a, b in pairs]


@pytest.mark.parametrize("seed", range(60))
def test_a_circuit_on_a_trunk_is_solved_as_it_is_without(seed: int) -> None:
    """Two circuits on one trunk, with a node of their own; the second has ends of which the trunk was not told."""
    chance = Random(seed)
    common = resistors(chance, chance.choice((25, 38, 55)), NODES)
    told = chance.sample(range(NODES), 12)
    trunk = Trunk(NODES, common, told)
    for ends in (told, range(NODES)):
        ends = [*ends, NODES]
        own = [
            Resistor(a, b, chance.choice(OHMS), True) for a, b in (chance.sample(ends, 2) for _ in range(4))
        ]
        plus, minus = chance.sample(ends, 2)
        devices: list[Device] = [BatteryBranch("parts/battery", plus, minus, 12.6, 0.02, 0.05)]
        for i in range(5):
            supply, back = chance.sample(ends, 2)
            devices.append(LoadBranch(f"parts/load-{i}", supply, back, 2.0 + i, 12.0, 1.0, 0.5))
        circuit = NodalCircuit(NODES + 1, (*common, *own), tuple(devices), (minus,))
        alone, joined = (solve(one, temperature=45.0) for one in (circuit, replace(circuit, trunk=trunk)))
        assert alone.islands == joined.islands
        assert not alone.lost and not joined.lost
        for node in range(NODES + 1):
            assert joined.volts(node) == pytest.approx(alone.volts(node), abs=1e-9, nan_ok=True)
        assert np.allclose(joined.all_volts(), alone.all_volts(), atol=1e-9)
