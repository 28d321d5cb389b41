"""Operating points with degraded joints, contacts and batteries, and with what leaks, against circuit simulators.

The networks are those of test_nonlinear_against_simulators, with two or three such faults in each; and the same faults as the points of one batch
give what they give one by one.
"""

from __future__ import annotations

import shutil
from random import Random

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, LEAKING, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.operating_point.points import Figures, Scenario, solve_points
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import resolved
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from tests.analysis.operating_point.dressed import dress
from tests.analysis.solver.netlist import by_neospice, by_ngspice
from tests.analysis.solver.test_nonlinear_against_simulators import VOLTS, Island, _islands, elsewhere
from tests.oracle.generator import awkward, realistic


def faults(design: Design, network: Network, chance: Random) -> tuple[Failure, ...]:
    """Two degraded things that have one path, or a battery, and one that leaks where there is one."""
    series = [e for e in network.lone if not isinstance(design.parts.get(e.partition("/")[2]), p.Consumer)]
    series += [s.element for s in network.sources if s.kind == "battery"]
    across = [s.element for s in network.sources if s.kind == "alternator"] + [e for _, e in network.diodes]
    worn = [Failure(e, DEGRADED, ohms=10 ** chance.uniform(-3, 1)) for e in chance.sample(series, 2)]
    return (*worn, *(Failure(e, LEAKING, ohms=10 ** chance.uniform(0, 3)) for e in across[:1]))


def scene(seed: int) -> tuple[Design, Network, Scenario] | None:
    design = (
        realistic(80 + seed % 40, seed, dress(seed)) if seed % 4 == 0 else awkward(seed, dress=dress(seed))
    )
    assert design.operation
    network, state = build_network(design), resolved(design.operation)[design.operation.normal]
    case = faults(design, network, Random(f"worn {seed}"))
    healthy = conduct(network, state)
    found = conduct(network, state, (case,), healthy)
    return None if found.unsettled else (design, network, Scenario(state, found, case))


def islands_of(seed: int) -> tuple[Island, ...]:
    made = scene(seed)
    if made is None:
        return ()
    points = solve_points(*made)
    assert not points.unsolved
    return tuple(_islands(seed, points, elsewhere(made[0], made[1], points), frozenset()))


def moved(seed: int) -> bool:
    """Whether the faults move some node by more than a tenth of a volt."""
    made = scene(seed)
    assert made is not None
    design, network, scenario = made
    sound = solve_points(design, network, Scenario(scenario.state, conduct(network, scenario.state)))
    worn = solve_points(*made)
    before, after = sound.all_volts(), worn.all_volts()
    return any(abs(before[n] - after[n]) > 0.1 for n in before.keys() & after.keys())


def test_degraded_networks_are_solved_as_neospice_solves_them() -> None:
    compared = telling = 0
    for seed in range(60):
        some = islands_of(seed)
        for island in some:
            worst = island.worst(by_neospice)
            assert worst <= VOLTS, f"seed {seed}: {worst:.6f} V"
            compared += 1
        telling += bool(some) and moved(seed)
    assert compared >= 50 and telling >= 20, (compared, telling)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed; .ci/run installs it")
def test_some_of_them_are_solved_as_ngspice_solves_them() -> None:
    compared = 0
    for seed in range(20):
        for island in islands_of(seed):
            worst = island.worst(by_ngspice)
            assert worst <= VOLTS, f"seed {seed}: {worst:.6f} V"
            compared += 1
    assert compared >= 15


@pytest.mark.parametrize("seed", range(0, 24, 3))
def test_points_with_ohms_of_their_own_are_those_solved_one_by_one(seed: int) -> None:
    made = scene(seed)
    if made is None:
        return
    design, network, scenario = made
    ohms = [1e-4, 1e-2, 0.3, 5.0, 200.0, 1e5]
    batch = solve_points(design, network, scenario, Figures(fault_ohms=np.array(ohms)), len(ohms))
    assert not batch.unsolved
    for column, one in enumerate(ohms):
        case = tuple(Failure(f.element, f.mode, ohms=one) for f in scenario.case)
        alone = solve_points(design, network, Scenario(scenario.state, scenario.conduction, case))
        assert not alone.unsolved
        for node, volts in alone.all_volts().items():
            # the inputs of converters are found to 1e-7 W, which behind 100 kohm is some 10 microvolts
            assert batch.volts(node)[column] == pytest.approx(volts, abs=5e-5), (one, node)
