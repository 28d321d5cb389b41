"""A circuit solved at many operating points, with what inlets take and what regulators sense."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    Device,
    InletBranch,
    LoadBranch,
    NodalCircuit,
    StartingBranch,
)
from reviewer.analysis.solver.circuit_shape import CircuitShapes
from reviewer.analysis.solver.circuit_solution import CircuitSolution, NotConverged
from reviewer.analysis.solver.coupling import Couplings
from reviewer.analysis.solver.current_balance import proved
from reviewer.analysis.solver.device_curves import figures_in
from reviewer.analysis.solver.device_ports import Ports, median, ports_of
from reviewer.analysis.solver.followers import FigureFollower, Inlets
from reviewer.analysis.solver.linear import Linear
from reviewer.analysis.solver.newton import solve_ports
from reviewer.analysis.solver.numpy_threads import load_numpy
from reviewer.model.record import record
from reviewer.network.work_count import SOLVED_ELEMENT, add_work

#: rounds in which the figures of followers settle
ROUNDS = 40


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
    circuits solved before; ``followers`` set figures by what is found, as inlets do; ``near`` is a
    solution of as many points of the circuit at that temperature, each of which is looked for from
    there, and one that was lost there not again. A point that is not found, or whose figures do not
    settle, is in ``lost`` and its values are NaN.
    """
    load_numpy()
    given: dict[int, dict[str, Any]] = {i: dict(own) for i, own in (figures or {}).items()}
    if Inlets.stand_in(circuit):
        followers = (*followers, Inlets(circuit, given, points, like))
    task = _Task(circuit, given, points, temperature, idle or {}, shapes)
    if not followers:
        return _solve(task, like, near)
    solved, reached = _followed(task, followers, like, near)
    return proved(solved, reached)


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
    missing, _ = _missing(followers, solved, reached)
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


def _missing(
    followers: Sequence[FigureFollower], solved: CircuitSolution, settled: Any = None
) -> tuple[Any, int]:
    """The points in which a follower asks for another figure, and a device of one that does. Where
    figures are found with the points, those are ``settled`` in which an inlet may stop."""
    import numpy as np

    missing, device = np.zeros(solved.sources.shape[1], bool), 0
    for follower in followers:
        unsettled = follower.follow(solved, ~missing if settled is None else settled)
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
    return proved(*_sought(task, like, near))


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

    every = [figures_in(d) for d in circuit.devices]
    for i, own in task.figures.items():
        every[i].update(own)
    if like is not None:
        found, linear, sums = like.islands, like.linear, like.sums
    else:
        same = (task.shapes or CircuitShapes()).of(circuit, temperature)
        found, sums = same.islands, same.sums
        linear = same.linear([_rho(circuit.devices[i], every[i]) for i in found.devices], points)
    order = found.devices
    if not order:  # no source is live
        nothing = np.zeros((0, points))
        figures, balance = tuple(every), np.zeros(points)
        dead = CircuitSolution(
            circuit, found, linear, figures, temperature, nothing, balance, 0, (), sums, None, nothing
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
        circuit, found, linear, tuple(every), temperature, sources, balance, rounds, (), sums, ports, x
    )
    return solved, reached


def _rho(device: Device, figures: Mapping[str, Any]) -> float:
    """The resistance a device is drawn with: any is correct; one near its working resistance needs
    few rounds."""
    drawn = _DRAWN.get(type(device))
    return 0.05 if drawn is None else drawn(figures)


def _least(values: Any) -> float:
    return float(values) if isinstance(values, (int, float)) else float(values.min())


def _middle(values: Any) -> float:
    if isinstance(values, (int, float)):
        return float(values)
    import numpy as np

    return float(median(np.atleast_2d(values))[0, 0])


def _power_ohms(figures: Mapping[str, Any]) -> float:
    return (1.5 * _middle(figures["least"])) ** 2 / max(_middle(figures["watts"]), 0.1)


_DRAWN: Mapping[type[Device], Callable[[Mapping[str, Any]], float]] = {
    # where a battery is taken out, as in most cases may be, it has far more
    BatteryBranch: lambda f: _least(f["ohms"]),
    StartingBranch: lambda f: 1.0 / max(_middle(f["siemens"]), 1e-3),
    LoadBranch: lambda f: _middle(f["volts"]) / max(_middle(f["amps"]), 0.01),
    ConstantPowerBranch: _power_ohms,
    InletBranch: _power_ohms,
}
