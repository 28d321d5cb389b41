"""A circuit solved at many operating points, with the proof: the current balance of every node."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    Device,
    LoadBranch,
    NodalCircuit,
    StartingBranch,
)
from reviewer.analysis.solver.circuit_shape import CircuitShapes, NodeSums
from reviewer.analysis.solver.coupling import Couplings
from reviewer.analysis.solver.device_curves import current, figures_of
from reviewer.analysis.solver.followers import FigureFollower, Inlets
from reviewer.analysis.solver.islands import Islands
from reviewer.analysis.solver.linear import LEAK_SIEMENS, Linear
from reviewer.analysis.solver.newton import Ports, median, ports_of, solve_ports
from reviewer.analysis.solver.numpy_threads import load_numpy
from reviewer.model.record import record
from reviewer.network.work_count import SOLVED_ELEMENT, add_work

#: amperes by which the currents of a node may fail to add up, and as a share of the largest of them
BALANCE_A, BALANCE_SHARE = 1e-6, 1e-9
#: rounds in which the figures of followers settle
ROUNDS = 40
#: numbers in the arrays that the balance of some points is added up in
_BLOCK = 1_000_000


@record
class NotConverged:
    """An operating point that did not converge: its index, the node with the worst current balance
    and the imbalance, and the index of the device whose voltage is farthest from the network's, or
    whose figures are ``unsettled``."""

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

    @cached_property
    def _only_amps(self) -> Any:
        """Of one point, the amperes of all devices by ``place``."""
        import numpy as np

        assert self.ports is not None
        ends = [(self.circuit.devices[i].plus, self.circuit.devices[i].minus) for i in self.place]
        plus, minus = np.array(self.islands.merged)[np.array(ends)].T
        return self.ports.amps(self._only_volts[plus] - self._only_volts[minus])

    def all_volts(self) -> Any:
        """Volts of all joined nodes, (joined nodes, points)."""
        return self.linear.joined_volts(self._core_volts)

    @cached_property
    def _core_volts(self) -> Any:
        found = self.linear.core_volts(self.sources)
        found[:, [lost.point for lost in self.lost]] = float("nan")
        return found

    def device_amps(self, device: int) -> Any:
        """Amperes through a device from plus to minus, (points,); 0 in a dead island."""
        import numpy as np

        d = self.circuit.devices[device]
        if device not in self.place:
            return np.zeros(self.sources.shape[1])
        if self.sources.shape[1] == 1 and self.ports is not None:
            return self._only_amps[self.place[device]]
        return current(type(d), self.volts(d.plus) - self.volts(d.minus), self.figures[device])

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


def solve(
    circuit: NodalCircuit,
    figures: Mapping[int, Mapping[str, Any]] | None = None,
    points: int = 1,
    temperature: float = 20.0,
    like: CircuitSolution | None = None,
    idle: Mapping[int, Any] | None = None,
    shapes: CircuitShapes | None = None,
    followers: Sequence[FigureFollower] = (),
    near: CircuitSolution | None = None,
) -> CircuitSolution:
    """Solve a circuit.

    Parameters: ``figures`` by index of device, those that differ from the device's own, one number
    or (points,) each; ``points`` how many operating points; ``temperature`` of the copper
    conductors, degrees Celsius; ``like`` is a solution of the circuit at that temperature with
    other figures: its linear part serves again; ``idle`` by index of a device the points, (points,)
    True, in which it is looked for from 0 V, as a load that little feeds is; ``shapes`` are those of
    circuits solved before; ``followers`` set figures by what is found, as inlets do; ``near`` is a solution of as many points of the
    circuit at that temperature, each of which is looked for from there, and one that was
    lost there not again. A point that is not found, or whose figures do not settle, is in ``lost``
    and its values are NaN.
    """
    load_numpy()

    given: dict[int, dict[str, Any]] = {i: dict(own) for i, own in (figures or {}).items()}
    if Inlets.stand_in(circuit):
        followers = (*followers, Inlets(circuit, given, points, like))
    task = _Task(circuit, given, points, temperature, idle or {}, shapes)
    if not followers:
        return _solve(task, like, near)
    solved, reached = _followed(task, followers, like, near)
    return _proved(solved, reached)


@record
class _Task:
    """What is to be solved: see :func:`solve`."""

    circuit: NodalCircuit
    figures: Mapping[int, Mapping[str, Any]]
    points: int
    temperature: float
    idle: Mapping[int, Any]
    shapes: CircuitShapes | None

    def having(self, followers: Sequence[FigureFollower]) -> _Task:
        """The same with the figures that the followers ask for."""
        figures = {i: dict(own) for i, own in self.figures.items()}
        for follower in followers:
            for i, own in follower.figures().items():
                figures.setdefault(i, {}).update(own)
        return replace(self, figures=figures)

    def at(self, points: Any) -> _Task:
        """Some of the points, by index."""
        figures = {i: _at(own, points) for i, own in self.figures.items()}
        idle = {i: still[points] for i, still in self.idle.items()}
        return replace(self, figures=figures, points=len(points), idle=idle)


def _at(figures: Mapping[str, Any], points: Any) -> dict[str, Any]:
    import numpy as np

    return {n: v[points] if np.ndim(v) else v for n, v in figures.items()}


def _followed(
    task: _Task,
    followers: Sequence[FigureFollower],
    like: CircuitSolution | None,
    near: CircuitSolution | None,
) -> tuple[CircuitSolution, Any]:
    """:func:`solve` with followers: their figures are found with the points. Where an inlet stops
    then, or a point is not found so, those points are solved again. With the points that are
    reached; what is found is not proved."""
    import numpy as np

    solved, reached = _sought(task.having(followers), like, near, followers)
    for follower in followers:
        follower.adopt(solved)
    missing, _ = _missing(followers, solved)
    rest = np.flatnonzero(missing | ~reached)
    if not len(rest):
        return solved, reached
    few, some = task.at(rest), tuple(follower.at(rest) for follower in followers)
    if any(follower.stopped.any() for follower in followers):
        from_here = replace(solved, x=solved.x[:, rest], lost=())
        found, again = _followed(few, some, solved, from_here)
    else:
        found = _in_rounds(few, some, solved)
        again = np.ones(len(rest), bool)
        again[[one.point for one in found.lost]] = False
    reached[rest] = again
    return _with(solved, rest, found), reached


def _missing(followers: Sequence[FigureFollower], solved: CircuitSolution) -> tuple[Any, int]:
    """The points in which a follower asks for another figure, and a device of one that does."""
    import numpy as np

    missing, device = np.zeros(solved.sources.shape[1], bool), 0
    for follower in followers:
        unsettled = follower.follow(solved, ~missing)
        if unsettled.any():
            missing, device = missing | unsettled, follower.device
    return missing, device


def _in_rounds(task: _Task, followers: Sequence[FigureFollower], like: CircuitSolution) -> CircuitSolution:
    """:func:`solve` with followers that are asked between one solution and the next."""
    import numpy as np

    near = None
    for _ in range(ROUNDS):
        near = _solve(task.having(followers), like, near)
        missing, device = _missing(followers, near)
        if not missing.any():
            return near
    assert near is not None
    known, node = {one.point for one in near.lost}, task.circuit.devices[device].plus
    left = [point for point in np.flatnonzero(missing).tolist() if point not in known]
    lost = [NotConverged(point, node, 0.0, device, True) for point in left]
    return replace(near, lost=(*near.lost, *lost))


def _with(solved: CircuitSolution, points: Any, few: CircuitSolution) -> CircuitSolution:
    """A solution with some of its points, by index, as they were found anew."""
    import numpy as np

    count = solved.sources.shape[1]
    if len(points) == count:
        return few
    figures = []
    for own, new in zip(solved.figures, few.figures, strict=True):
        made = dict(own)
        for name, value in new.items():
            if value is not own[name]:
                made[name] = np.broadcast_to(np.asarray(own[name], float), (count,)).copy()
                made[name][points] = value
        figures.append(made)
    rows = {}
    for name in ("sources", "balance", "x"):
        rows[name] = getattr(solved, name).copy()
        rows[name][..., points] = getattr(few, name)
    again = set(points.tolist())
    lost = [one for one in solved.lost if one.point not in again]
    lost += [replace(one, point=int(points[one.point])) for one in few.lost]
    rounds = max(solved.rounds, few.rounds)
    ports = _ports(solved.circuit, solved.islands.devices, figures, solved.linear)
    return replace(solved, figures=tuple(figures), lost=tuple(lost), rounds=rounds, ports=ports, **rows)


def _ports(
    circuit: NodalCircuit, order: Sequence[int], figures: Sequence[dict[str, Any]], linear: Linear
) -> Ports:
    return ports_of([circuit.devices[i] for i in order], [figures[i] for i in order], linear.core.rho)


def _solve(task: _Task, like: CircuitSolution | None, near: CircuitSolution | None) -> CircuitSolution:
    """:func:`solve` with the figures that are given."""
    return _proved(*_sought(task, like, near))


def _sought(
    task: _Task,
    like: CircuitSolution | None,
    near: CircuitSolution | None,
    followers: Sequence[FigureFollower] = (),
) -> tuple[CircuitSolution, Any]:
    """:func:`solve` with the figures that are given, those of the followers being found with the
    points; the balance is not proved. With the points that are reached, (points,)."""
    circuit, points, temperature = task.circuit, task.points, task.temperature
    add_work(SOLVED_ELEMENT * (len(circuit.devices) + len(circuit.resistors)))
    load_numpy()
    import numpy as np

    every = tuple(
        {n: getattr(d, n) for n in figures_of(type(d))} | dict(task.figures.get(i, {}))
        for i, d in enumerate(circuit.devices)
    )
    if like is not None:
        found, linear, sums = like.islands, like.linear, like.sums
    else:
        same = (task.shapes or CircuitShapes()).of(circuit, temperature)
        found, sums = same.islands, same.sums
        linear = same.linear([_rho(circuit.devices[i], every[i]) for i in found.devices], points)
    order = found.devices
    if not order:  # no source is live
        nothing = np.zeros((0, points))
        dead = CircuitSolution(
            circuit, found, linear, every, temperature, nothing, np.zeros(points), 0, (), sums, None, nothing
        )
        return dead, np.ones(points, bool)
    ports = _ports(circuit, order, every, linear)
    still = {row: task.idle[i] for row, i in enumerate(order) if i in task.idle}
    before, gone = (None, []) if near is None else (near.x, [one.point for one in near.lost])
    couplings = Couplings(tuple(one for f in followers for one in f.couplings(found, linear)))
    x, reached, rounds = solve_ports(ports, linear, points, still, before, gone, couplings)
    if couplings.every:
        x, asked = x[: len(order)], x[len(order) :]
        ports = ports.having(couplings, asked)
        for one, figure in zip(couplings.every, asked, strict=True):
            every[order[one.row]][one.name] = figure
    shape = ports.curves(x)
    sources, balance = shape.volts - ports.rho * shape.amps, np.zeros(points)
    solved = CircuitSolution(
        circuit, found, linear, every, temperature, sources, balance, rounds, (), sums, ports, x
    )
    return solved, reached


def _proved(solved: CircuitSolution, reached: Any) -> CircuitSolution:
    """A solution with the balance of its points, and those ``lost`` that miss it or that are not
    ``reached``."""
    import numpy as np

    if solved.ports is None:
        return solved
    balance, allowed, worst = _balance(solved, solved.ports)
    known = {one.point for one in solved.lost}
    bad = np.flatnonzero(~reached | ~(balance <= allowed))
    lost: tuple[NotConverged, ...] = ()
    sources = solved.sources
    if len(bad):
        few = solved.ports.at(bad)
        missing = np.abs(few.curves(solved.x[:, bad]).volts - solved.linear.across(sources[:, bad]))
        lost = tuple(
            _lost(solved.islands, point, balance[point], int(worst[point]), missing[:, i])
            for i, point in enumerate(bad.tolist())
            if point not in known
        )
        sources = sources.copy()
        sources[:, bad] = np.nan
    for array in (sources, balance):
        array.setflags(write=False)
    return replace(solved, sources=sources, balance=balance, lost=(*solved.lost, *lost))


def _rho(device: Device, figures: Mapping[str, Any]) -> float:
    """The resistance a device is drawn with: any is correct; one near its working resistance needs
    few rounds."""
    if isinstance(device, BatteryBranch):
        return _middle(figures["ohms"])
    if isinstance(device, StartingBranch):
        return 1.0 / max(_middle(figures["siemens"]), 1e-3)
    if isinstance(device, LoadBranch):
        return _middle(figures["volts"]) / max(_middle(figures["amps"]), 0.01)
    if isinstance(device, ConstantPowerBranch):
        return (1.5 * _middle(figures["least"])) ** 2 / max(_middle(figures["watts"]), 0.1)
    return 0.05


def _middle(values: Any) -> float:
    if isinstance(values, (int, float)):
        return float(values)
    import numpy as np

    return float(median(np.atleast_2d(values))[0, 0])


def _lost(found: Islands, point: int, amps: float, joined: int, missing: Any) -> NotConverged:
    return NotConverged(point, found.merged.index(joined), float(amps), found.devices[int(missing.argmax())])


def _balance(solved: CircuitSolution, ports: Ports) -> tuple[Any, Any, Any]:
    """Kirchhoff's current law at every joined node of the whole circuit, nothing folded: the worst
    imbalance of each point, what is allowed at that node, and the node. References are left out."""
    import numpy as np

    sums, points = solved.sums, solved.sources.shape[1]
    (a, b), (plus, minus), groups, counted = sums.ends, sums.device_ends, sums.groups, sums.counted
    node = groups.distinct
    if not counted.any():
        return np.zeros(points), np.full(points, BALANCE_A), np.full(points, node[0])
    worst, allowed, where = np.empty(points), np.empty(points), np.empty(points, int)
    size = max(1, _BLOCK // (2 * (len(a) + len(plus))))
    for some in (slice(begin, begin + size) for begin in range(0, points, size)):
        volts = solved.linear.joined_volts(solved.linear.core_volts(solved.sources[:, some]))
        across = volts[plus] - volts[minus]
        amps = np.concatenate(
            [
                (volts[a] - volts[b]) / sums.ohms,
                ports.at(some).amps(across) + LEAK_SIEMENS * across,
            ]
        )
        amps = np.concatenate([amps, -amps])
        total = np.abs(groups.reduced(np.add, amps))[counted]
        most = groups.reduced(np.maximum, np.abs(amps))[counted]
        row, column = (total - BALANCE_SHARE * most).argmax(axis=0), np.arange(total.shape[1])
        worst[some], where[some] = total[row, column], node[counted][row]
        allowed[some] = BALANCE_A + BALANCE_SHARE * most[row, column]
    return worst, allowed, where
