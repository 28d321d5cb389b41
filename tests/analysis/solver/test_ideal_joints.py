"""Currents of ideal joints."""

from __future__ import annotations

from random import Random

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reviewer.analysis.solver.circuit import BatteryBranch, NodalCircuit, Resistor
from reviewer.analysis.solver.nonlinear import solve


@given(st.integers(0, 10_000))
@settings(deadline=None, max_examples=80)
def test_what_an_ideal_joint_carries_is_what_a_tiny_resistance_in_its_place_would(seed: int) -> None:
    """Where joints make a ring how they share is left open; which joints those are, networkx says (a bridge is an edge in no ring)."""
    chance = Random(seed)
    count = chance.randint(4, 14)
    pairs = [(n, chance.randrange(n)) for n in range(1, count)] + [
        tuple(chance.sample(range(count), 2)) for _ in range(chance.randint(0, 6))
    ]
    ohms = [0.0 if chance.random() < 0.5 else chance.uniform(0.1, 5) for _ in pairs]
    sources = tuple(
        BatteryBranch(f"b{i}", *chance.sample(range(count), 2), chance.uniform(5, 15), 0.3, 0.3)
        for i in range(2)
    )  # type: ignore[misc]
    resistors = tuple(
        Resistor(a, b, r) if chance.random() < 0.5 else Resistor(b, a, r)
        for (a, b), r in zip(pairs, ohms, strict=True)
    )
    ideal = solve(NodalCircuit(count, resistors, sources))
    near = solve(NodalCircuit(count, tuple(Resistor(r.a, r.b, r.ohms or 1e-7) for r in resistors), sources))
    joints = nx.MultiGraph([(r.a, r.b) for r in resistors if r.ohms == 0])
    bridges = {frozenset(pair) for pair in nx.bridges(nx.Graph(joints))} if len(joints) else set()
    for i, r in enumerate(resistors):
        if r.ohms == 0:
            if frozenset((r.a, r.b)) in bridges and joints.number_of_edges(r.a, r.b) == 1:
                assert ideal.resistor_amps(i)[0] == pytest.approx(
                    near.resistor_amps(i)[0], abs=2e-3, rel=2e-3
                )
            else:
                assert np.isnan(ideal.resistor_amps(i)[0])
