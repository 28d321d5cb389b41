"""Regulators that hold the voltage elsewhere than at the output of their alternator: what the way
there drops, the output has more."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from copy import copy
from typing import Any

from reviewer.analysis.conduction.failure_modes import FULL_ON, Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import join, served
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.circuit_build import Built
from reviewer.analysis.solver.circuit import NodalCircuit
from reviewer.analysis.solver.circuit_shape import CircuitShapes
from reviewer.analysis.solver.circuit_solution import CircuitSolution
from reviewer.analysis.solver.coupling import Coupling, SensedVolts
from reviewer.analysis.solver.figure_search import FigureSearch
from reviewer.analysis.solver.islands import Islands
from reviewer.analysis.solver.linear import Linear
from reviewer.analysis.solver.nonlinear import solve
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.network.regulators import regulation

#: tolerance of the sensed voltage, V. The output may be off by twenty times as much, where a second
#: source takes up what one gives
NEAR_V = 1e-8


@record
class Sensed:
    """Where the regulator of an alternator, ``element``, holds its volts: from node ``plus`` to
    ``minus``. ``output`` and ``ground`` are the nodes of the alternator."""

    element: str
    output: int
    ground: int
    plus: int
    minus: int

    def rise(self, solved: CircuitSolution) -> Any:
        """Volts that the output has more than what is sensed, (points,); NaN where that is dead."""
        there = solved.volts(self.plus) - solved.volts(self.minus)
        return solved.volts(self.output) - solved.volts(self.ground) - there


def sensing(design: Design, network: Network, built: Built, free: Set[str]) -> Mapping[int, Sensed]:
    """For each live alternator that senses elsewhere than at its output: its device -> where.
    ``free`` ones do not regulate. One whose field is not fed is not live, so that it fails low."""
    found = {}
    for source in network.sources:
        if source.kind != "alternator" or source.element in free or source.element not in built.sources:
            continue
        held = regulation(design, bare(source.element))
        if held.remote:
            found[built.sources[source.element]] = Sensed(
                source.element,
                source.positive,
                source.negative,
                network.node(held.plus),
                network.node(held.minus),
            )
    return found


def uncontrolled(
    design: Design, network: Network, conduction: Conduction, cases: Sequence[Case]
) -> Mapping[str, int]:
    """The live alternators whose regulator has failed full on, has lost a lead without which it
    drives the field full on, or senses what the alternator does not feed: element -> the lanes in
    which that is so.
    ``cases`` are those of the lanes."""
    found = {}
    for source in network.sources:
        if source.kind != "alternator" or not conduction.alive[source.element]:
            continue
        held = regulation(design, bare(source.element))
        own, alive = Failure(f"parts/{held.owner}", FULL_ON), conduction.alive[source.element]
        lanes = join(1 << i for i, case in enumerate(cases) if own in failures_of(case)) & alive
        if held.separate or held.remote:
            leads = _leads(network, held.owner, held.plus, held.minus)
            fed, returned = conduction.fed[source.element], conduction.returned[source.element]
            lanes |= alive & ~served(leads, fed, returned)
        if lanes:
            found[source.element] = lanes
    return found


def _leads(network: Network, regulator: str, plus: str, minus: str) -> PoweredDevice:
    return PoweredDevice(f"parts/{regulator}", (network.node(plus),), (network.node(minus),))


def as_sensed(
    senses: Mapping[int, Sensed],
    figures: Mapping[int, Mapping[str, Any]],
    circuit: NodalCircuit,
    points: int,
    temperature: float,
    idle: Mapping[int, Any] | None = None,
    live: Mapping[int, Any] | None = None,
    like: CircuitSolution | None = None,
    shapes: CircuitShapes | None = None,
    near: CircuitSolution | None = None,
    most: Mapping[int, float] | None = None,
) -> CircuitSolution:
    """The solution in which each of these outputs is above its set point by what lies between it
    and where it is sensed, at ``most`` at the volts that it has at full field; ``idle`` as of
    :func:`solve`; ``like`` is one of the circuit at that
    temperature, ``shapes`` are those of circuits solved before, ``near`` is where each point is looked
    for first. Raises NotAssessable where none is found.

    Where the points are cases of failure, ``live`` has those in which each of these regulates,
    (points,), and a point for which none is found is lost.
    """

    def found(near: CircuitSolution | None) -> CircuitSolution:
        regulators = (_Regulators(senses, figures, points, live),) if senses else ()
        return solve(circuit, figures, points, temperature, like, idle, shapes, regulators, near)

    solved = found(near)
    if near is not None and solved.lost:
        solved = found(None)  # what is near may lead away from where several regulators settle
    full = _at_full_field(senses, most or {}, solved, points)
    if full:
        import numpy as np

        regulated, held, set_points = live, figures, {i: figures[i]["volts"] for i in full}
        live = {i: np.ones(points, bool) for i in senses} if live is None else dict(live)
        figures = dict(figures)
        for i, there in full.items():
            live[i] = live[i] & ~there
            figures[i] = {**figures[i], "volts": np.where(there, (most or {})[i], set_points[i])}
        driven = found(None)
        low = all(
            np.all((driven.volts(s.plus) - driven.volts(s.minus) < set_points[i])[full[i]])
            for i, s in senses.items()
            if i in full
        )
        solved = driven if low and not driven.lost else solved
        live, figures = regulated, held
    if live is None and any(one.unsettled and one.device in senses for one in solved.lost):
        names = " and ".join(bare(sensed.element) for sensed in senses.values())
        raise NotAssessable(f"an operating point at which the regulator of {names} holds what it senses")
    return solved


def _at_full_field(
    senses: Mapping[int, Sensed], most: Mapping[int, float], solved: CircuitSolution, points: int
) -> dict[int, Any]:
    """Device -> the points, a mask, at which an alternator would need more volts than it has at full field
    for its regulator to hold what that senses; of one alone those too at which no volts do."""
    import numpy as np

    found = {}
    for i, sensed in senses.items():
        if i not in most:
            continue
        over = solved.volts(sensed.output) - solved.volts(sensed.ground) > most[i]
        if len(senses) == 1:
            lost = [one.point for one in solved.lost if one.unsettled and one.device == i]
            over = over | np.isin(np.arange(points), lost)
        if over.any():
            found[i] = over
    return found


class _Regulators:
    """Each output has what is sensed and the rise to it."""

    def __init__(
        self,
        senses: Mapping[int, Sensed],
        figures: Mapping[int, Mapping[str, Any]],
        points: int,
        live: Mapping[int, Any] | None,
    ):
        import numpy as np

        self.senses, self.set, self.live = senses, {i: figures[i]["volts"] for i in senses}, live
        self.device = next(iter(senses))
        self.given: Any = np.zeros((points, len(senses)))
        # the rise follows the output nearly volt for volt where a second source takes up what one gives
        self.search = FigureSearch(points, len(senses), NEAR_V)
        self.stopped: Any = np.zeros(points, bool)

    def figures(self) -> Mapping[int, Mapping[str, Any]]:
        return {i: {"volts": volts + self.given[:, k]} for k, (i, volts) in enumerate(self.set.items())}

    def follow(self, solved: CircuitSolution, settled: Any) -> Any:
        import numpy as np

        rise = np.stack([sensed.rise(solved) for sensed in self.senses.values()], axis=1)
        rise = np.where(rise == rise, rise, self.given)
        if self.live is not None:
            rise = np.where(np.stack([self.live[i] for i in self.senses], axis=1), rise, 0.0)
        apart = abs(rise - self.given)
        missing = (apart >= NEAR_V).any(axis=1)
        if missing.any():
            self.device = list(self.senses)[int(apart.max(axis=0).argmax())]
        self.given = self.search.next(self.given, rise)
        return missing

    def couplings(self, found: Islands, linear: Linear) -> Sequence[Coupling]:
        import numpy as np

        row = {device: row for row, device in enumerate(found.devices)}
        made: list[Coupling] = []
        for i, sensed in self.senses.items():
            nodes = (sensed.output, sensed.ground, sensed.plus, sensed.minus)
            output, ground, plus, minus = (found.merged[node] for node in nodes)
            if i in row and min(output, ground, plus, minus) >= 0:
                held = np.broadcast_to(np.asarray(self.set[i], float), (len(self.given),))
                live = np.ones(len(self.given), bool) if self.live is None else self.live[i]
                ends = output, ground, plus, minus
                made.append(SensedVolts(row[i], held, live, ends, linear, NEAR_V))
        return made

    def adopt(self, solved: CircuitSolution) -> None:
        for k, (i, held) in enumerate(self.set.items()):
            self.given[:, k] = solved.figures[i]["volts"] - held

    def at(self, points: Any) -> _Regulators:
        import numpy as np

        few = copy(self)
        few.set = {i: held[points] if np.ndim(held) else held for i, held in self.set.items()}
        few.live = self.live and {i: live[points] for i, live in self.live.items()}
        few.given = np.zeros((len(points), len(self.senses)))
        few.stopped = np.zeros(len(points), bool)
        few.search = FigureSearch(len(points), len(self.senses), NEAR_V)
        return few
