"""The linear part: superposition, reciprocity, islands."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reviewer.analysis.solver.circuit import BatteryBranch, NodalCircuit, Resistor
from reviewer.analysis.solver.islands import islands
from reviewer.analysis.solver.nonlinear import solve


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=60)
def test_linear_networks_superpose_and_are_reciprocal(seed: int) -> None:
    chance = Random(seed)
    count = chance.randint(3, 12)
    resistors = [Resistor(n, chance.randrange(n), chance.uniform(0.001, 50)) for n in range(1, count)]
    resistors += [
        Resistor(*chance.sample(range(count), 2), chance.uniform(0.001, 50))
        for _ in range(chance.randint(0, 12))
    ]
    one, other = chance.sample(range(1, count), 2)

    def volts(first: float, second: float) -> tuple[float, float, list[float]]:
        sources = (
            BatteryBranch("one", one, 0, first, 0.5, 0.5),
            BatteryBranch("other", other, 0, second, 0.7, 0.7),
        )
        found = solve(NodalCircuit(count, tuple(resistors), sources, (0,)))
        assert not found.lost
        return found.device_amps(0)[0], found.device_amps(1)[0], [found.volts(n)[0] for n in range(count)]

    here, there, both = volts(10, 0), volts(0, 10), volts(10, 10)
    assert both[2] == pytest.approx([a + b for a, b in zip(here[2], there[2], strict=True)], abs=1e-7)
    # ten volts in one branch drive in the other the current that ten volts there drive in the first
    assert here[1] == pytest.approx(there[0], abs=1e-6, rel=1e-6)


def test_an_ideal_joint_makes_two_nodes_one_and_what_no_source_reaches_is_in_no_island() -> None:
    resistors = (Resistor(1, 2, 0.0), Resistor(2, 3, 1.0), Resistor(3, 0, 1.0), Resistor(4, 5, 1.0))
    found = islands(NodalCircuit(6, resistors, (BatteryBranch("b", 1, 0, 12.0, 0.1, 0.1),), (0,)))
    assert found.merged[1] == found.merged[2] and found.merged[4] == found.merged[5] == -1
    assert found.references == (found.merged[0],) and found.devices == (0,) and found.count == 3
