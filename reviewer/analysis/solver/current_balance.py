"""The proof of operating points: the currents at every node of the whole circuit."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from reviewer.analysis.solver.circuit_solution import CircuitSolution, NotConverged
from reviewer.analysis.solver.device_ports import Ports
from reviewer.analysis.solver.islands import Islands
from reviewer.analysis.solver.linear import LEAK_SIEMENS

#: amperes by which the currents of a node may fail to add up, and as a share of the largest of them
BALANCE_A, BALANCE_SHARE = 1e-6, 1e-9
#: numbers in the arrays that the balance of some points is added up in: few, as the whole is to stay near
#: the processor
_BLOCK = 100_000


def proved(solved: CircuitSolution, reached: Any) -> CircuitSolution:
    """A solution with the balance of its points, and those ``lost`` that miss it or that are not
    ``reached``."""
    import numpy as np

    if solved.ports is None:
        return solved
    balance, allowed, worst, core = _balance(solved, solved.ports)
    known = {one.point for one in solved.lost}
    bad = np.flatnonzero(~reached | ~(balance <= allowed))
    lost: tuple[NotConverged, ...] = ()
    sources = solved.sources
    if len(bad):
        few = solved.ports.at(bad)
        missing = np.abs(few.curves(solved.x[:, bad]).volts - solved.linear.across(sources[:, bad]))
        lost = tuple(
            _lost(solved.islands, point, balance, allowed, int(worst[point]), missing[:, i])
            for i, point in enumerate(bad.tolist())
            if point not in known
        )
        sources = sources.copy()
        sources[:, bad] = np.nan
    for array in (sources, balance):
        array.setflags(write=False)
    return replace(solved, sources=sources, balance=balance, lost=(*solved.lost, *lost), proved_by=core)


def _lost(found: Islands, point: int, balance: Any, allowed: Any, joined: int, missing: Any) -> NotConverged:
    amps, device = float(balance[point]), found.devices[int(missing.argmax())]
    return NotConverged(point, found.merged.index(joined), amps, device, amps <= allowed[point])


def _balance(solved: CircuitSolution, ports: Ports) -> tuple[Any, Any, Any, Any]:
    """Kirchhoff's current law at every joined node of the whole circuit, nothing folded: the worst
    imbalance of each point, what is allowed at that node, and the node. References are left out. With
    the volts of the core where there are few points."""
    import numpy as np

    sums, points = solved.sums, solved.sources.shape[1]
    (a, b), (plus, minus), groups, counted = sums.ends, sums.device_ends, sums.groups, sums.counted
    node = groups.distinct
    if not counted.any():
        return np.zeros(points), np.full(points, BALANCE_A), np.full(points, node[0]), None
    core: Any = None
    worst, allowed, where = np.empty(points), np.empty(points), np.empty(points, int)
    size = max(1, _BLOCK // (2 * (len(a) + len(plus))))
    for some in (slice(begin, begin + size) for begin in range(0, points, size)):
        core = solved.linear.core_volts(solved.sources[:, some])
        volts = solved.linear.joined_volts(core)
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
    return worst, allowed, where, core if points <= size else None
