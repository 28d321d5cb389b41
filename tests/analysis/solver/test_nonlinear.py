"""Operating points of a circuit, and the proof of each."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    Resistor,
)
from reviewer.analysis.solver.circuit_solution import NotConverged
from reviewer.analysis.solver.current_balance import BALANCE_A
from reviewer.analysis.solver.newton import ROUNDS
from reviewer.analysis.solver.nonlinear import solve


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


def test_loads_of_constant_power_beside_a_battery_that_charges_take_few_rounds() -> None:
    """An alternator of 30 A at 14.4 V beside batteries that take little: what the load takes less at more volts outweighs that.

    Between the alternator's 14.4 V and the battery's 12.5 V the currents may balance once more, but nothing stays there.
    """
    watts = np.linspace(150.0, 450.0, 300)
    devices = (
        RegulatedBranch("alternator", 1, 0, 14.4, 30.0),
        BatteryBranch("battery", 2, 0, 12.6, 0.007, 4.6),
        BatteryBranch("reserve", 3, 0, 12.6, 0.02, 9.3),
        ConstantPowerBranch("load", 4, 0, watts, 8.0, 20.0),
    )
    ways = tuple(Resistor(a, b, 0.02) for a, b in ((1, 2), (1, 3), (1, 4)))
    found = solve(NodalCircuit(5, ways, devices, (0,)), points=300)
    assert not found.lost and found.balance.max() <= BALANCE_A and found.rounds <= 20
    volts = found.volts(1)
    regulated, on_the_battery = abs(volts - 14.4) < 4e-3, (volts > 12.3) & (volts < 12.6)
    assert np.all(regulated | on_the_battery)
    assert np.all(regulated[watts < 340]) and np.all(on_the_battery[watts > 425])


@pytest.mark.parametrize("points", [1, 3])
def test_from_points_near_by_the_same_is_found_in_fewer_rounds(points: int) -> None:
    """The set point rises by 0.05 V; one point is so far from what was near that it is looked for afresh; one that was lost is not."""
    amps = np.array([10.0, 30.0, 45.0])[:points]
    devices = (
        RegulatedBranch("alternator", 1, 0, 14.4, 20.0),
        BatteryBranch("battery", 1, 0, 12.6, 0.1, 10.0),
        LoadBranch("load", 2, 0, amps, 14.0, 1.0, 1.0),
    )
    circuit = NodalCircuit(3, (Resistor(1, 2, 1e-6),), devices, (0,))
    before = solve(circuit, points=points)
    raised = {0: {"volts": 14.45}}
    afresh = solve(circuit, raised, points, like=before)
    near = solve(circuit, raised, points, like=before, near=before)
    assert near.volts(1) == pytest.approx(afresh.volts(1), abs=1e-6) and not near.lost
    assert near.rounds < afresh.rounds
    lost = solve(circuit, raised, points, near=replace(before, lost=(NotConverged(0, 1, 0.0, 0),)))
    assert [one.point for one in lost.lost] == [0] and np.isnan(lost.volts(1)[0])
    assert lost.volts(1)[1:] == pytest.approx(afresh.volts(1)[1:], abs=1e-6)
    far = solve(circuit, raised, points, near=solve(circuit, {0: {"volts": 400.0}}, points))
    assert far.volts(1) == pytest.approx(afresh.volts(1), abs=1e-6) and not far.lost


def test_a_battery_that_most_points_are_without_is_found_in_the_others() -> None:
    """14.4 V up to 30 A feed loads of 40 A; where there is a battery of 12.6 V behind 0.1 ohm it gives 10 A at 11.6 V. Where it
    is taken out the alternator gives what a load of 20 A takes."""
    gone, drawn = np.array([0.1, 1e12, 1e12, 1e12]), np.array([40.0, 20.0, 20.0, 20.0])
    devices = (
        RegulatedBranch("alternator", 1, 0, 14.4, 30.0),
        BatteryBranch("battery", 1, 0, 12.6, gone, gone),
        LoadBranch("load", 2, 0, drawn, 14.0, 1.0, 1.0),
    )
    found = solve(NodalCircuit(3, (Resistor(1, 2, 1e-6),), devices, (0,)), points=4)
    assert not found.lost
    assert found.volts(1) == pytest.approx([11.6, 14.4, 14.4, 14.4], abs=5e-3)
    # Newton's method alone, with no descent after it
    assert found.rounds <= ROUNDS
