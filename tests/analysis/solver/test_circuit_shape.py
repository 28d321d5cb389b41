"""Circuits of one shape share islands and linear part, and are solved as each would be by itself."""

from __future__ import annotations

import numpy as np
import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.circuit_build import Scenario, build
from reviewer.analysis.solver.circuit_shape import CircuitShapes
from reviewer.analysis.solver.nonlinear import solve
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import realistic
from tests.oracle.sound import sound


@pytest.mark.parametrize("name", ["realistic 1", "realistic 2", "sound 400"])
def test_a_circuit_of_a_known_shape_is_solved_as_by_itself(name: str) -> None:
    kind, number = name.split()
    design = sound(int(number), 1) if kind == "sound" else realistic(90, int(number), dress(int(number)))
    facts, shapes, shared = Facts(design), CircuitShapes(), 0
    for answer in facts.states.answers()[:4]:
        for phases in ((), tuple(design.operation.phases)[:1] if design.operation else ()):
            scenario = Scenario(answer.state, answer.healthy, (), phases)
            circuit = build(facts.design, facts.network, scenario).circuit
            for points in (1, 3):
                known = shapes.of(circuit, 60.0)
                one = solve(circuit, points=points, temperature=60.0, shapes=shapes)
                alone = solve(circuit, points=points, temperature=60.0)
                shared += one.islands is known.islands
                assert np.array_equal(one.all_volts(), alone.all_volts(), equal_nan=True)
                for i in range(len(circuit.devices)):
                    assert np.array_equal(one.device_amps(i), alone.device_amps(i), equal_nan=True)
    assert shared >= 8 and alone.islands is not one.islands


def test_the_one_point_of_a_solution_is_the_first_of_several_alike() -> None:
    facts = Facts(sound(150, 2))
    answer = facts.states.answers()[0]
    circuit = build(facts.design, facts.network, Scenario(answer.state, answer.healthy)).circuit
    one, two = solve(circuit), solve(circuit, points=2)
    for i, device in enumerate(circuit.devices):
        assert one.volts(device.plus) == pytest.approx(two.volts(device.plus)[:1], abs=1e-9, nan_ok=True)
        assert one.device_amps(i) == pytest.approx(two.device_amps(i)[:1], abs=1e-6, nan_ok=True)
