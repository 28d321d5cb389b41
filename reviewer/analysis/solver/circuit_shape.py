"""What circuits of the same resistors and devices between the same nodes have in common: their islands
and the linear part. The figures of their devices may differ."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    DiodeBranch,
    InletBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    StartingBranch,
)
from reviewer.analysis.solver.elimination import RowGroups
from reviewer.analysis.solver.islands import Islands, islands
from reviewer.analysis.solver.linear import EliminatedLinear, Linear, linear_of
from reviewer.analysis.solver.network_core import core_of
from reviewer.model.record import record

_ORDER = (
    DiodeBranch,
    RegulatedBranch,
    BatteryBranch,
    LoadBranch,
    StartingBranch,
    ConstantPowerBranch,
    InletBranch,
)


@record
class NodeSums:
    """What meets at the joined nodes of a circuit, nothing folded: the ``ends`` of the resistors that
    are no ideal joints, (2, resistors), with their ``ohms``, (resistors, 1), and of the devices,
    (2, devices). ``groups`` gathers the first ends of all and then their second ends by node;
    ``counted`` says of each of these nodes, (nodes,), whether it is no reference: what is missing there
    is missing elsewhere too."""

    ends: Any
    ohms: Any
    device_ends: Any
    groups: RowGroups
    counted: Any


class CircuitShape:
    """The islands of a circuit, devices of a kind together, and its linear part at one temperature of
    the conductors."""

    def __init__(self, circuit: NodalCircuit, temperature: float):
        found = islands(circuit)
        order = tuple(sorted(found.devices, key=lambda i: _ORDER.index(type(circuit.devices[i]))))
        self.islands = Islands(found.merged, found.count, found.references, order)
        self._core = core_of(circuit, self.islands, (1.0,) * len(order), temperature)
        self._made: dict[type[Linear], Linear] = {}
        self._circuit, self._temperature = circuit, temperature

    @cached_property
    def sums(self) -> NodeSums:
        """For the balance of currents at every node."""
        import numpy as np

        merged, wires = np.array(self.islands.merged, int), self._circuit.wires
        ends = np.array([merged[wires.a], merged[wires.b]])
        live = (ends[0] >= 0) & (ends[0] != ends[1])
        devices = [self._circuit.devices[i] for i in self.islands.devices]
        device_ends = merged[np.array([[d.plus for d in devices], [d.minus for d in devices]], int)]
        groups = RowGroups(np.concatenate([ends[:, live], device_ends], axis=1).ravel())
        return NodeSums(
            ends[:, live],
            wires.ohms_at(self._temperature)[live, None],
            device_ends,
            groups,
            np.isin(groups.distinct, self.islands.references, invert=True),
        )

    @property
    def core(self) -> Hashable:
        """What circuits have in common that differ in dead ends alone, where the figures of the devices of
        their islands are the same. Chains that were folded in another order differ by a last digit."""
        core = self._core
        links = frozenset((one, other, f"{siemens:.12g}") for one, other, siemens in core.links)
        return self.islands.devices, core.count, links, core.plus.tobytes(), core.minus.tobytes()

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
    """The shapes of the circuits of a design, each worked out once, beside those that are ``known``."""

    def __init__(self, known: CircuitShapes | None = None) -> None:
        self._known: dict[Hashable, CircuitShape] = dict(known._known) if known else {}

    def of(self, circuit: NodalCircuit, temperature: float) -> CircuitShape:
        """The shape of a circuit at a temperature of its conductors, degrees Celsius."""
        key = (*circuit.shape, temperature)
        if key not in self._known:
            self._known[key] = CircuitShape(circuit, temperature)
        return self._known[key]
