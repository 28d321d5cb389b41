"""What circuits of the same resistors and devices between the same nodes have in common: their islands
and the linear part. The figures of their devices may differ."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    DiodeBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    StartingBranch,
)
from reviewer.analysis.solver.islands import Islands, islands
from reviewer.analysis.solver.linear import EliminatedLinear, Linear, linear_of
from reviewer.analysis.solver.network_core import core_of

_ORDER = (DiodeBranch, RegulatedBranch, BatteryBranch, LoadBranch, StartingBranch, ConstantPowerBranch)


class CircuitShape:
    """The islands of a circuit, devices of a kind together, and its linear part at one temperature of
    the conductors."""

    def __init__(self, circuit: NodalCircuit, temperature: float):
        found = islands(circuit)
        order = tuple(sorted(found.devices, key=lambda i: _ORDER.index(type(circuit.devices[i]))))
        self.islands = Islands(found.merged, found.count, found.references, order)
        self._core = core_of(circuit, self.islands, (1.0,) * len(order), temperature)
        self._made: dict[type[Linear], Linear] = {}

    def linear(self, rho: Sequence[float], points: int) -> Linear:
        """The linear part with ``rho`` ohms for each device of the islands. Raises Singular."""
        import numpy as np

        core = replace(self._core, rho=np.asarray(rho, float))
        kind = linear_of(len(rho), points)
        made = self._made.get(kind)
        if made is not None and np.array_equal(made.core.rho, core.rho):
            return made
        if isinstance(made, EliminatedLinear):
            return made.drawn_with(core)
        made = self._made[kind] = kind(core)
        return made


class CircuitShapes:
    """The shapes of the circuits of a design, each worked out once."""

    def __init__(self) -> None:
        self._known: dict[Hashable, CircuitShape] = {}

    def of(self, circuit: NodalCircuit, temperature: float) -> CircuitShape:
        """The shape of a circuit at a temperature of its conductors, degrees Celsius."""
        key = (*circuit.shape, temperature)
        if key not in self._known:
            self._known[key] = CircuitShape(circuit, temperature)
        return self._known[key]
