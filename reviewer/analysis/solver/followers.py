"""Figures of devices that follow what is solved with them.

They are found in the rounds of Newton's method (``coupling``). Points that are not found so are
solved with what was tried, and what is found asks for the next, until it asks for the same again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from typing import TYPE_CHECKING, Any, Protocol

from reviewer.analysis.solver.circuit import InletBranch, NodalCircuit, RegulatedBranch
from reviewer.analysis.solver.coupling import Coupling, InletWatts
from reviewer.analysis.solver.figure_search import FigureSearch

if TYPE_CHECKING:
    from reviewer.analysis.solver.circuit_solution import CircuitSolution
    from reviewer.analysis.solver.islands import Islands
    from reviewer.analysis.solver.linear import Linear

#: watts by which what an inlet takes may miss what its source gives
NEAR_W = 1e-7


class FigureFollower(Protocol):
    """Sets figures of devices by what is found with them. ``device`` is the index of the one whose
    figure was farthest from what was asked for last."""

    device: int
    #: the points, (points,), in which one stopped when they were followed last
    stopped: Any

    def figures(self) -> Mapping[int, Mapping[str, Any]]:
        """By index of device what is to be tried next, one number or (points,) each."""

    def follow(self, solved: CircuitSolution, settled: Any) -> Any:
        """The points, (points,) True, in which what was tried is not what ``solved`` asks for; the
        next is ready then. ``settled`` are those in which the followers before this one ask for
        nothing else."""

    def couplings(self, found: Islands, linear: Linear) -> Sequence[Coupling]:
        """Those of the devices that are in live islands, with which the figures are found at once."""

    def adopt(self, solved: CircuitSolution) -> None:
        """Take the figures that were found with the couplings for those that were tried."""

    def at(self, points: Any) -> FigureFollower:
        """The same for some of the points, by index, as if none had been followed yet."""


class Inlets:
    """Inputs of converters and chargers: each takes the watts that its output gives, over its
    efficiency. The output hardly asks how many volts the input has. One whose input falls below its
    least volts gives nothing more."""

    def __init__(
        self,
        circuit: NodalCircuit,
        figures: Mapping[int, Mapping[str, Any]] | None,
        points: int,
        like: CircuitSolution | None,
    ):
        """``like`` is a solution with other figures: what was taken there is near to what is taken
        here."""
        import numpy as np

        self.circuit, self.points = circuit, points
        self.inlets = {i: d for i, d in enumerate(circuit.devices) if isinstance(d, InletBranch)}
        self.device = next(iter(self.inlets))
        given = figures or {}
        self.watts: dict[int, Any] = {}
        self.limit: dict[int, Any] = {}
        for i, inlet in self.inlets.items():
            start: Any = given.get(i, {}).get("watts", inlet.watts)
            if like is not None and "watts" not in given.get(i, {}):
                taken = like.figures[i]["watts"]
                start = taken if np.ndim(taken) and len(taken) == points else start
            source = circuit.devices[inlet.gives]
            assert isinstance(source, RegulatedBranch)
            self.watts[i] = np.broadcast_to(np.asarray(start, float), (points,))
            self.limit[i] = given.get(inlet.gives, {}).get("limit", source.limit)
        self.off = {i: np.zeros(points, bool) for i in self.inlets}
        self.stopped: Any = np.zeros(points, bool)
        self.steps = {i: FigureSearch(points, 1, NEAR_W) for i in self.inlets}

    @staticmethod
    def stand_in(circuit: NodalCircuit) -> bool:
        """Whether the circuit has inlets."""
        return any(isinstance(d, InletBranch) for d in circuit.devices)

    def figures(self) -> Mapping[int, Mapping[str, Any]]:
        import numpy as np

        found: dict[int, dict[str, Any]] = {}
        for i, inlet in self.inlets.items():
            found[i] = {"watts": self.watts[i]}
            if self.off[i].any():
                found[inlet.gives] = {"limit": np.where(self.off[i], 0.0, self.limit[i])}
        return found

    def follow(self, solved: CircuitSolution, settled: Any) -> Any:
        import numpy as np

        missing, self.stopped = np.zeros(self.points, bool), np.zeros(self.points, bool)
        farthest = NEAR_W
        for i, inlet in self.inlets.items():
            tried = self.watts[i]
            low = solved.volts(inlet.plus) - solved.volts(inlet.minus) < inlet.least
            stops = ~self.off[i] & low & settled
            self.off[i], self.stopped = self.off[i] | stops, self.stopped | stops
            taken = _watts(solved, inlet.gives) / -inlet.efficiency
            taken = np.where(taken == taken, np.maximum(taken, 0.0), tried)
            taken = np.where(self.off[i], 0.0, taken)
            apart = abs(taken - tried)
            missing |= stops | (apart >= NEAR_W)
            if (most := float(apart.max(initial=0.0))) >= farthest:
                farthest, self.device = most, i
            following = self.steps[i].next(tried[:, None], taken[:, None])[:, 0]
            self.watts[i] = np.where(self.off[i], 0.0, np.maximum(following, 0.0))
        return missing

    def couplings(self, found: Islands, linear: Linear) -> Sequence[Coupling]:
        row = {device: row for row, device in enumerate(found.devices)}
        return [
            InletWatts(row[i], row[d.gives], d.efficiency, d.least, self.off[i], NEAR_W)
            for i, d in self.inlets.items()
            if i in row and d.gives in row and not self.off[i].all()
        ]

    def adopt(self, solved: CircuitSolution) -> None:
        import numpy as np

        for i in self.inlets:
            self.watts[i] = np.broadcast_to(solved.figures[i]["watts"], (self.points,))

    def at(self, points: Any) -> Inlets:
        import numpy as np

        few = copy(self)
        few.points, few.stopped = len(points), np.zeros(len(points), bool)
        few.watts = {i: watts[points] for i, watts in self.watts.items()}
        few.off = {i: off[points] for i, off in self.off.items()}
        few.limit = {i: limit[points] if np.ndim(limit) else limit for i, limit in self.limit.items()}
        few.steps = {i: FigureSearch(len(points), 1, NEAR_W) for i in self.inlets}
        return few


def _watts(solved: CircuitSolution, device: int) -> Any:
    """Watts that a device takes, (points,); NaN where no point was found. They are those of its curve
    at ``x``: by its volts alone its amperes are uncertain, as it droops so little."""
    import numpy as np

    row = solved.place.get(device)
    if row is None or solved.ports is None:
        return np.full(solved.sources.shape[1], np.nan)
    shape = solved.ports.curves(solved.x)
    found = shape.volts[row] * shape.amps[row]
    found[[lost.point for lost in solved.lost]] = np.nan
    return found
