"""Devices of a circuit sorted by kind, their figures as arrays, for many operating points side by side."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from reviewer.analysis.solver.circuit import (
    ConstantPowerBranch,
    Device,
    InletBranch,
    LoadBranch,
    RegulatedBranch,
    StartingBranch,
)
from reviewer.analysis.solver.device_curves import DROOP_OHM, Curve, by_followed, current, curve, figures_of
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.solver.coupling import Couplings

LOADS = (LoadBranch, StartingBranch, ConstantPowerBranch, InletBranch)


@record
class Ports:
    """Devices of the same kind stand together. ``kinds`` are (kind, first, one past last, figures),
    each figure (devices, points) or (devices, 1); ``rho`` is (devices, 1)."""

    kinds: tuple[tuple[type[Device], int, int, dict[str, Any]], ...]
    rho: Any

    def curves(self, x: Any) -> Curve:
        """All devices at ``x``, (devices, points)."""
        import numpy as np

        parts = [curve(kind, x[i:j], self.rho[i:j], figures) for kind, i, j, figures in self.kinds]
        return Curve(*(np.concatenate(which) for which in zip(*parts, strict=True)))

    def amps(self, volts: Any) -> Any:
        """Amperes of all devices at ``volts``, (devices, points)."""
        import numpy as np

        return np.concatenate([current(kind, volts[i:j], figures) for kind, i, j, figures in self.kinds])

    def x_at(self, volts: Any) -> Any:
        """The x at which each device has ``volts``, (devices, points)."""
        x = volts.copy()
        for kind, i, j, figures in self.kinds:
            if kind not in LOADS:
                x[i:j] += self.rho[i:j] * current(kind, volts[i:j], figures)
        return x

    def figure(self, row: int, name: str) -> Any:
        """A figure of the device in a row, (points,) or (1,)."""
        return next(f[name][row - i] for _, i, j, f in self.kinds if i <= row < j)

    def by_followed(self, row: int, x: Any) -> tuple[Any, Any]:
        """Slopes of volts and amperes of the device in a row, (points,), at a fixed ``x`` by the
        figure of it that follows what is solved."""
        kind, i, figures = next((kind, i, f) for kind, i, j, f in self.kinds if i <= row < j)
        own = {name: rows[row - i] for name, rows in figures.items()}
        return by_followed(kind, x[row], self.rho[row], own)

    def having(self, couplings: Couplings, given: Any) -> Ports:
        """These with the figures ``given``, (couplings, points), of coupled devices."""
        import numpy as np

        kinds = list(self.kinds)
        for one, figure in zip(couplings.every, given, strict=True):
            at = next(n for n, (_, i, j, _) in enumerate(kinds) if i <= one.row < j)
            kind, i, j, figures = kinds[at]
            rows = np.repeat(figures[one.name], len(figure) if figures[one.name].shape[1] == 1 else 1, axis=1)
            rows[one.row - i] = figure
            kinds[at] = kind, i, j, {**figures, one.name: rows}
        return Ports(tuple(kinds), self.rho)

    def leap(self, x: Any, change: Any) -> Any:
        """The share of ``change``, (points,), that takes no regulated source from its limit past its
        set volts or back, but to between them."""
        import numpy as np

        share = np.ones(x.shape[1])
        for kind, i, j, figures in self.kinds:
            if kind is RegulatedBranch:
                off = figures["volts"]
                full = off - figures["limit"] * (self.rho[i:j] + DROOP_OHM)
                here, there = x[i:j], x[i:j] + change[i:j]
                past = ((here <= full) & (there >= off)) | ((here >= off) & (there <= full))
                past &= full < off
                if past.any():
                    way = np.where(past, there - here, 1.0)
                    own = np.where(past, ((full + off) / 2.0 - here) / way, 1.0)
                    share = np.minimum(share, own.min(axis=0))
        return share

    def at(self, points: Any) -> Ports:
        """Some of the points, by index or mask."""
        chosen = [
            (k, i, j, {n: f if f.shape[1] == 1 else f[:, points] for n, f in figures.items()})
            for k, i, j, figures in self.kinds
        ]
        return Ports(tuple(chosen), self.rho)

    def middle(self) -> Ports:
        """One point: the median of every figure."""
        if all(f.shape[1] == 1 for _, _, _, figures in self.kinds for f in figures.values()):
            return self
        chosen = [(k, i, j, {n: median(f) for n, f in figures.items()}) for k, i, j, figures in self.kinds]
        return Ports(tuple(chosen), self.rho)


def median(rows: Any) -> Any:
    """The median of each row, (rows, 1). (That of numpy imports its masked arrays.)"""
    import numpy as np

    ordered, last = np.sort(rows, axis=1), rows.shape[1] - 1
    return (ordered[:, last // 2, None] + ordered[:, (last + 1) // 2, None]) / 2.0


def ports_of(devices: Sequence[Device], figures: Sequence[dict[str, Any]], rho: Sequence[float]) -> Ports:
    """Ports of devices sorted by kind; ``figures[i]`` are those of ``devices[i]``, one number or
    (points,) each."""
    import numpy as np

    kinds, first = [], 0
    while first < len(devices):
        kind, last = type(devices[first]), first
        while last < len(devices) and type(devices[last]) is kind:
            last += 1
        block = {n: _stacked([figures[i][n] for i in range(first, last)]) for n in figures_of(kind)}
        kinds.append((kind, first, last, block))
        first = last
    return Ports(tuple(kinds), np.asarray(rho, float)[:, None])


def _stacked(rows: Sequence[Any]) -> Any:
    """Numbers or arrays (points,) as rows of one array, (rows, 1) where all are numbers."""
    import numpy as np

    if {*map(type, rows)} <= {float, int}:
        return np.array(rows, float)[:, None]
    stacked = np.empty((len(rows), max(map(np.size, rows))))
    for i, row in enumerate(rows):
        stacked[i] = row
    return stacked
