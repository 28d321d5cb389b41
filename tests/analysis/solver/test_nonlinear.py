"""Operating points of a circuit, and the proof of each."""

from __future__ import annotations

import numpy as np
import pytest

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    Resistor,
)
from reviewer.analysis.solver.nonlinear import BALANCE_A, solve


def test_an_island_without_a_source_is_dead_and_not_a_number() -> None:
    found = solve(NodalCircuit(4, (Resistor(2, 3, 1.0),), (BatteryBranch("b", 1, 0, 12.0, 0.1, 0.1),), (0,)))
    assert (
        found.volts(1)[0] == pytest.approx(12.0)
        and np.isnan(found.volts(2)[0])
        and found.resistor_amps(0)[0] == 0
    )


def test_a_regulated_source_holds_its_volts_until_its_limit_and_the_battery_gives_the_rest() -> None:
    """14.4 V up to 20 A; a battery of 12.6 V behind 0.1 ohm. At 10 A the bus has 14.4 V; at 30 A the battery gives 10 A at 11.6 V."""
    devices = (
        RegulatedBranch("alternator", 1, 0, 14.4, 20.0),
        BatteryBranch("battery", 1, 0, 12.6, 0.1, 10.0),
        LoadBranch("load", 2, 0, np.array([10.0, 30.0]), 14.0, 1.0, 1.0),
    )
    found = solve(NodalCircuit(3, (Resistor(1, 2, 1e-6),), devices, (0,)), points=2)
    assert found.volts(1) == pytest.approx([14.4, 11.6], abs=2e-3)
    assert found.device_amps(1) == pytest.approx([0.18, -10.0], abs=2e-3)
    assert not found.lost and found.balance.max() <= BALANCE_A
