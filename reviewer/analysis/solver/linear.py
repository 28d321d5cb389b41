"""The linear part of a circuit: volts of all nodes from the sources of its devices.

Each device is drawn as a resistance ``rho`` and a source ``a = v - rho i`` in series. Then the
voltages of all nodes are a matrix times the sources of the devices, whatever the devices do, and so
are the voltages across the devices: v = H a.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from functools import cached_property
from typing import Any

from reviewer.analysis.solver.circuit import Singular
from reviewer.analysis.solver.elimination import RowGroups, plan_of
from reviewer.analysis.solver.network_core import Core

#: conductance across every device, that of good insulation: it fixes the voltage behind blocked
#: diodes, and takes a tenth of a microampere
LEAK_SIEMENS = 1e-8
#: devices or points from which on it is quicker to eliminate the nodes at each point than to make H
MANY_DEVICES, MANY_POINTS = 100, 200
#: numbers in the largest arrays: without elimination, and with it, where the whole is to stay near
#: the processor
BLOCK, NEAR_BLOCK = 4_000_000, 500_000
#: a device (row), and the volts and amperes, (points,), that it has more of at the same x
Push = tuple[int, Any, Any]


class Linear:
    """Volts from sources. Sources are (devices, points), volts of the core (nodes + 1, points)."""

    def __init__(self, core: Core):
        self.core = core

    def core_volts(self, sources: Any) -> Any:
        """Volts of the nodes of the core, the references' the last, which are 0."""
        raise NotImplementedError

    def across(self, sources: Any) -> Any:
        """Volts across the devices, H a, (devices, points)."""
        raise NotImplementedError

    def between(self, core_volts: Any) -> Any:
        """Volts across the devices, (devices, points), from those of the core."""
        return core_volts.take(self.core.plus, axis=0) - core_volts.take(self.core.minus, axis=0)

    def newton_step(self, volts_slope: Any, amps_slope: Any, right: Any) -> Any:
        """y with (P - H (P - rho S)) y = ``right``, where P and S are the slopes of volts and
        amperes of each device; all (devices, points)."""
        raise NotImplementedError

    def steady_steps(
        self, volts_slope: Any, amps_slope: Any, right: Any, pushes: Sequence[Push] = (), sources: Any = None
    ) -> list[tuple[Any, Any]]:
        """As :meth:`newton_step`, y with the volts of the core that the sources (P - rho S) y make,
        (nodes + 1, points). What ``sources``, (devices, points), make is added on the right and to
        those volts. Then, for each of ``pushes``, what x changes by, and the volts of the
        core, where a device has so much more volts and amperes at the same x.

        Where loads that take less at more volts outweigh all that holds a node, so that nothing
        stays there, as if they took no more at fewer volts: the step of those slopes goes to a point
        at which the circuit does not stay, or the wrong way."""
        raise NotImplementedError

    def points_at_once(self) -> int:
        """How many points are best taken a step at a time."""
        raise NotImplementedError

    def joined_volts(self, core_volts: Any, joined: Any = slice(None)) -> Any:
        """Volts of one joined node, (points,), of some or all, (nodes, points), from those of the
        core."""
        one, other = self.core.nodes[:, joined]
        first, second = self.core.shares[:, joined, None]
        return first * core_volts.take(one, axis=0) + second * core_volts.take(other, axis=0)


class DenseLinear(Linear):
    """With H as a matrix. Raises Singular. ``rows`` are the volts of the core for one volt of each source,
    (nodes, devices), where they are known."""

    def __init__(self, core: Core, rows: Any = None):
        super().__init__(core)
        self.rows = self._solved(core) if rows is None else rows
        self.matrix = self.rows[core.plus] - self.rows[core.minus]

    @staticmethod
    def _solved(core: Core) -> Any:
        import numpy as np

        count, devices = core.count, len(core.rho)
        drawn = (1.0 / core.rho + LEAK_SIEMENS).tolist()
        links = [*core.links, *zip(core.plus, core.minus, drawn, strict=True)]
        rows = np.zeros((count + 1, devices))
        if count and links:
            one, other, siemens = (np.array(which) for which in zip(*links, strict=True))
            matrix, drive = np.zeros((count + 1, count + 1)), np.zeros((count + 1, devices))
            for here, there in ((one, other), (other, one)):
                np.add.at(matrix, (here, here), siemens)
                np.subtract.at(matrix, (here, there), siemens)
            port = np.arange(devices)
            np.add.at(drive, (core.plus, port), 1.0 / core.rho)
            np.subtract.at(drive, (core.minus, port), 1.0 / core.rho)
            try:
                rows[:-1] = np.linalg.solve(matrix[:-1, :-1], drive[:-1])
            except np.linalg.LinAlgError as singular:
                raise Singular from singular
        return rows

    def core_volts(self, sources: Any) -> Any:
        return self.rows @ sources

    def across(self, sources: Any) -> Any:
        return self.matrix @ sources

    def newton_step(self, volts_slope: Any, amps_slope: Any, right: Any) -> Any:
        return dense_steps(self.matrix, self.core.rho[:, None], volts_slope, amps_slope, [right])[0]

    def steady_steps(
        self, volts_slope: Any, amps_slope: Any, right: Any, pushes: Sequence[Push] = (), sources: Any = None
    ) -> list[tuple[Any, Any]]:
        rho = self.core.rho[:, None]
        rights = [right if sources is None else right + self.across(sources)]
        made = [0.0 if sources is None else self.rows @ sources]
        for row, more_volts, more_amps in pushes:
            source = more_volts - rho[row] * more_amps
            made.append(self.rows[:, row, None] * source)
            rights.append(self.matrix[:, row, None] * source)
            rights[-1][row] -= more_volts
        steps = dense_steps(self.matrix, rho, volts_slope, amps_slope, rights)
        slope = volts_slope - rho * amps_slope
        return [(y, self.rows @ (slope * y) + own) for y, own in zip(steps, made, strict=True)]

    def points_at_once(self) -> int:
        return max(1, BLOCK // len(self.matrix) ** 2)


class EliminatedLinear(Linear):
    """Without H: each device is drawn by its slope instead, and the nodes are eliminated at each
    point."""

    def __init__(self, core: Core):
        import numpy as np

        super().__init__(core)
        #: devices with both ends at one node do nothing here
        self.seen = np.flatnonzero(core.plus != core.minus)
        devices = zip(core.plus[self.seen].tolist(), core.minus[self.seen].tolist(), strict=True)
        self.plan = plan_of(core.count, (*((one, other) for one, other, _ in core.links), *devices))
        links = len(core.links)
        self.fixed = np.zeros((self.plan.slots, 1))
        fixed = np.array([siemens for *_, siemens in core.links])
        RowGroups(self.plan.slot_of[:links]).add(self.fixed, fixed[:, None])
        self.by_device = RowGroups(self.plan.slot_of[links:])
        self.ends = RowGroups(np.concatenate([core.plus, core.minus]))
        self.still = self._network(1.0 / core.rho[:, None])

    def drawn_with(self, core: Core) -> EliminatedLinear:
        """The same with a core that differs in its ``rho`` alone."""
        import numpy as np

        made = copy(self)
        made.__dict__.pop("dense", None)
        made.core = core
        made.still = made._network(1.0 / np.asarray(core.rho)[:, None])
        return made

    @cached_property
    def dense(self) -> DenseLinear:
        """The same with H as a matrix, from the nodes eliminated: a dense solution loses the leaks beside
        joints that hardly resist."""
        import numpy as np

        return DenseLinear(self.core, self.core_volts(np.eye(len(self.core.rho))))

    def _network(self, siemens: Any) -> Any:
        import numpy as np

        slots = np.repeat(self.fixed, siemens.shape[1], axis=1)
        self.by_device.add(slots, siemens[self.seen] + LEAK_SIEMENS)
        return self.plan.factored(slots)

    def _driven(self, amps: Any) -> Any:
        """Amperes into the nodes from those that leave each device at its plus and enter it at its
        minus."""
        import numpy as np

        into = np.zeros((self.core.count + 1, amps.shape[1]))
        self.ends.add(into, np.concatenate([amps, -amps]))
        return into

    def core_volts(self, sources: Any) -> Any:
        return self.still.volts(self._driven(sources / self.core.rho[:, None]))

    def across(self, sources: Any) -> Any:
        return self.between(self.core_volts(sources))

    def newton_step(self, volts_slope: Any, amps_slope: Any, right: Any) -> Any:
        """y with ... as above. Where the slope of loads of constant power takes away all that a node
        has, there is nothing to divide by, and the step of that point is made with H."""
        return self._steps(volts_slope, amps_slope, right)[0][0][0]

    def steady_steps(
        self, volts_slope: Any, amps_slope: Any, right: Any, pushes: Sequence[Push] = (), sources: Any = None
    ) -> list[tuple[Any, Any]]:
        import numpy as np

        steps, steady = self._steps(volts_slope, amps_slope, right, pushes, sources)
        if len(some := np.flatnonzero(~steady)):
            few = [(row, volts[some], amps[some]) for row, volts, amps in pushes]
            slopes = volts_slope[:, some], amps_slope[:, some].clip(0.0)
            own = None if sources is None else sources[:, some]
            again, _ = self._steps(*slopes, right[:, some], few, own)
            _replace(steps, some, again)
        return steps

    def _steps(
        self, volts_slope: Any, amps_slope: Any, right: Any, pushes: Sequence[Push] = (), sources: Any = None
    ) -> tuple[list[tuple[Any, Any]], Any]:
        """The steps, and the points at which every node is held as it goes, (points,)."""
        import numpy as np

        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            siemens = amps_slope / volts_slope
            network = self._network(siemens)
            rho = self.core.rho[:, None]
            amps = right / rho - siemens * right
            core = network.volts(self._driven(amps if sources is None else amps + sources / rho))
            steps = [((right + self.between(core)) / volts_slope, core)]
            for row, more_volts, more_amps in pushes:
                amps = np.zeros_like(core)
                taken = more_amps - siemens[row] * more_volts
                amps[self.core.plus[row]] -= taken
                amps[self.core.minus[row]] += taken
                core = network.volts(amps)
                volts = self.between(core)
                volts[row] -= more_volts
                steps.append((volts / volts_slope, core))
            finite = np.logical_and.reduce([np.isfinite(step).all(axis=0) for step, _ in steps])
        for some in ([point] for point in np.flatnonzero(~finite).tolist()):
            few = [(row, volts[some], amps[some]) for row, volts, amps in pushes]
            slopes = volts_slope[:, some], amps_slope[:, some]
            own = None if sources is None else sources[:, some]
            _replace(steps, some, self.dense.steady_steps(*slopes, right[:, some], few, own))
        return steps, network.steady()

    def points_at_once(self) -> int:
        return max(1, NEAR_BLOCK // self.plan.slots)


def _replace(steps: Sequence[tuple[Any, Any]], some: Any, others: Sequence[tuple[Any, Any]]) -> None:
    """Put the steps of ``some`` points in the place of theirs."""
    for (step, core), (other, volts) in zip(steps, others, strict=True):
        step[:, some], core[:, some] = other, volts


def dense_steps(matrix: Any, rho: Any, volts_slope: Any, amps_slope: Any, rights: Sequence[Any]) -> list[Any]:
    """See :meth:`Linear.newton_step`; ``matrix`` is H."""
    import numpy as np

    system = -matrix * (volts_slope - rho * amps_slope).T[:, None, :]
    place = np.arange(len(matrix))
    system[:, place, place] += volts_slope.T
    found = solved_systems(system, np.stack([right.T for right in rights], axis=2))
    return [found[:, :, i].T for i in range(len(rights))]


def solved_systems(matrix: Any, right: Any) -> Any:
    """Solutions of (points, n, n) systems with right sides (points, n, sides); where one is singular
    all are perturbed slightly."""
    import numpy as np

    for hair in (0.0, 1e-12, 1e-9):
        try:
            return np.linalg.solve(matrix + hair * np.eye(right.shape[1]) if hair else matrix, right)
        except np.linalg.LinAlgError:
            continue
    return np.zeros_like(right)


def linear_of(devices: int, points: int) -> type[DenseLinear] | type[EliminatedLinear]:
    """The quicker kind for so many devices and points."""
    return DenseLinear if devices < MANY_DEVICES and points < MANY_POINTS else EliminatedLinear
