"""A solved circuit: volts of nodes, amperes of devices and resistors."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from reviewer.analysis.solver.circuit import NodalCircuit
from reviewer.analysis.solver.circuit_shape import NodeSums
from reviewer.analysis.solver.device_curves import current
from reviewer.analysis.solver.device_ports import Ports
from reviewer.analysis.solver.islands import Islands
from reviewer.analysis.solver.linear import Linear
from reviewer.model.record import record

#: devices times points up to which all volts and currents of devices are worked out at once; of more few
#: may be asked for
FEW = 100_000


@record
class NotConverged:
    """An operating point that did not converge: its index, the node with the worst current balance
    and the imbalance, and the index of the device whose voltage is farthest from the network's;
    ``unsettled`` where the currents balance and a figure of that device does not settle."""

    point: int
    node: int
    amps: float
    device: int
    unsettled: bool = False


@record
class CircuitSolution:
    """Operating points of a circuit. All voltages count from the reference of their island.

    ``sources`` are the sources ``a`` of the devices of ``islands.devices``, (devices, points);
    ``linear`` turns them into voltages. ``balance`` is the worst imbalance of the currents of any
    node, (points,), amperes. Voltages and currents of a point that is in ``lost`` are NaN.
    """

    circuit: NodalCircuit
    islands: Islands
    linear: Linear
    figures: tuple[dict[str, Any], ...]
    temperature: float
    sources: Any
    balance: Any
    rounds: int
    lost: tuple[NotConverged, ...]
    sums: NodeSums
    ports: Ports | None = None
    #: where the search ended for each device, (devices, points)
    x: Any = None
    #: the volts of the core by which the points were proved, lost ones too, where they are known
    proved_by: Any = None

    @cached_property
    def place(self) -> Mapping[int, int]:
        """Index of a device in the circuit -> its row in ``sources``."""
        return {device: row for row, device in enumerate(self.islands.devices)}

    def volts(self, node: int) -> Any:
        """Volts of a node, (points,); NaN where no live source reaches it."""
        import numpy as np

        joined = self.islands.merged[node]
        if joined < 0:
            return np.full(self.sources.shape[1], np.nan)
        if self.sources.shape[1] == 1:
            return self._only_volts[joined]
        return self.linear.joined_volts(self._core_volts, joined)

    @cached_property
    def _only_volts(self) -> Any:
        """Of one point, the volts of all joined nodes."""
        return self.all_volts()

    def across(self, device: int) -> Any:
        """Volts across a device, plus less minus, (points,); NaN in a dead island."""
        import numpy as np

        row, d = self.place.get(device), self.circuit.devices[device]
        if row is None:
            return np.full(self.sources.shape[1], np.nan)
        return self._across[row] if self.sources.size <= FEW else self.volts(d.plus) - self.volts(d.minus)

    @cached_property
    def _across(self) -> Any:
        """Volts across all devices by ``place``, (devices, points)."""
        return self.linear.between(self._core_volts)

    @cached_property
    def _amps(self) -> Any:
        """Amperes of all devices by ``place``, (devices, points)."""
        assert self.ports is not None
        return self.ports.amps(self._across)

    def each_across(self) -> dict[int, float]:
        """Of one point, the volts across each device of a live island, by its index in the circuit."""
        return dict(zip(self.islands.devices, self._across[:, 0].tolist(), strict=True))

    def each_amps(self) -> dict[int, float]:
        """Of one point, the amperes through each device of a live island, by its index in the circuit."""
        return dict(zip(self.islands.devices, self._amps[:, 0].tolist(), strict=True)) if self.ports else {}

    def all_volts(self) -> Any:
        """Volts of all joined nodes, (joined nodes, points)."""
        return self.linear.joined_volts(self._core_volts)

    @cached_property
    def _core_volts(self) -> Any:
        found = self.linear.core_volts(self.sources) if self.proved_by is None else self.proved_by.copy()
        found[:, [lost.point for lost in self.lost]] = float("nan")
        return found

    def device_amps(self, device: int) -> Any:
        """Amperes through a device from plus to minus, (points,); 0 in a dead island."""
        import numpy as np

        row = self.place.get(device)
        if row is None:
            return np.zeros(self.sources.shape[1])
        if self.sources.size <= FEW:
            return self._amps[row]
        return current(type(self.circuit.devices[device]), self.across(device), self.figures[device])

    def resistor_amps(self, index: int) -> Any:
        """Amperes through a resistor from a to b, (points,); NaN where ideal joints in a ring leave
        it open how they share."""
        import numpy as np

        r = self.circuit.resistors[index]
        if self.islands.merged[r.a] < 0:
            return np.zeros(self.sources.shape[1])
        if r.ohms > 0:
            return (self.volts(r.a) - self.volts(r.b)) / self._ohms[index]
        return self._joints[index]

    @cached_property
    def _ohms(self) -> Any:
        return self.circuit.wires.ohms_at(self.temperature)

    @cached_property
    def _joints(self) -> Mapping[int, Any]:
        from reviewer.analysis.solver.ideal_joints import joint_amps

        return joint_amps(self)
