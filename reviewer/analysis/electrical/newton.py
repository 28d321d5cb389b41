"""Newton's method on the devices of a circuit, for many operating points side by side.

The unknown of a device is the ``x`` of its curve (see ``laws``), and what must vanish is F = v(x) - H a(x), volts. The slopes of the loads hardly differ
from point to point and do little across the small resistance of the wiring: they are taken from one point in the middle, and the matrix with them is
inverted once. Only for the devices that do differ (``strong``) is a small system solved at each point. With all devices strong it is Newton's method
without short cuts; that is tried where the short cut fails.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reviewer.analysis.electrical.circuit import Device, Load, PowerLoad
from reviewer.analysis.electrical.descent import descend
from reviewer.analysis.electrical.laws import Curve, current, curve, figures_of
from reviewer.model.record import record

#: volts by which a device may miss the network's voltage
CLOSE = 1e-12
ROUNDS = 25
#: a load is strong where the voltage across it goes by more than this share of what is asked because its slope is not the one in the middle; the
#: second value is for points that are not found with the first
MUCH = (0.1, 0.02)
#: longest step of the first round in volts, what is left of it in each round after, and the shortest bound: without it the sources' limits throw a
#: point to and fro
BOUND_V, BOUND_SHRINKS, BOUND_LEAST_V = 8.0, 0.85, 0.5
#: steps downhill between two trials of Newton's method, rounds of such a trial, and the most trials
DOWNHILL, NEAR_ROUNDS, DESCENTS = 4, 8, 12
LOADS = (Load, PowerLoad)


@record
class Ports:
    """Devices of the same kind stand together. ``kinds`` are (kind, first, one past last, figures), each figure (devices, points) or (devices, 1);
    ``rho`` is (devices, 1)."""

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

    def at(self, points: Any) -> Ports:
        """Some of the points, by index or mask."""
        chosen = [(k, i, j, {n: f if f.shape[1] == 1 else f[:, points] for n, f in figures.items()}) for k, i, j, figures in self.kinds]
        return Ports(tuple(chosen), self.rho)

    def middle(self) -> Ports:
        """One point: the median of every figure."""
        import numpy as np

        if all(f.shape[1] == 1 for _, _, _, figures in self.kinds for f in figures.values()):
            return self
        chosen = [(k, i, j, {n: np.median(f, axis=1, keepdims=True) for n, f in figures.items()}) for k, i, j, figures in self.kinds]
        return Ports(tuple(chosen), self.rho)


def ports_of(devices: Sequence[Device], figures: Sequence[dict[str, Any]], rho: Sequence[float]) -> Ports:
    """Ports of devices sorted by kind; ``figures[i]`` are those of ``devices[i]``, one number or (points,) each."""
    import numpy as np

    kinds, first = [], 0
    while first < len(devices):
        kind, last = type(devices[first]), first
        while last < len(devices) and type(devices[last]) is kind:
            last += 1
        block = {n: [np.atleast_1d(np.asarray(figures[i][n], float)) for i in range(first, last)] for n in figures_of(kind)}
        kinds.append((kind, first, last, {n: np.stack(np.broadcast_arrays(*rows)) for n, rows in block.items()}))
        first = last
    return Ports(tuple(kinds), np.asarray(rho, float)[:, None])


def solve_ports(ports: Ports, across: Any, points: int) -> tuple[Any, Any, int]:
    """The operating points. Gives x, (devices, points); which points were found, (points,); and the most rounds that one took."""
    import numpy as np

    centre = ports.middle()
    start, known, rounds = _from(centre, across, np.zeros((len(across), 1)))
    x, found = np.repeat(start, points, axis=1), np.zeros(points, bool)
    if known[0] and points > 1:
        slopes, strong = centre.curves(start), np.zeros(len(across), bool)
        for much in MUCH:
            lost = np.flatnonzero(~found)
            strong |= _strong(ports.at(lost), slopes, across, x[:, lost], much)
            for some in _chunks(lost, int(strong.sum()), len(across)):
                x[:, some], found[some], more = _newton(ports.at(some), across, np.repeat(start, len(some), axis=1), strong, slopes)
                rounds = max(rounds, more)
            if found.all():
                break
    elif known[0]:
        return start, known, rounds
    for lost in _chunks(np.flatnonzero(~found), len(across), len(across)):
        x[:, lost], found[lost], more = _from(ports.at(lost), across, np.repeat(start, len(lost), axis=1))
        rounds = max(rounds, more)
    return x, found, rounds


def _from(ports: Ports, across: Any, start: Any) -> tuple[Any, Any, int]:
    """Newton's method without short cuts: steps of bounded length find nearly every point, and those that they throw to and fro are found downhill."""
    import numpy as np

    every = np.ones(len(across), bool)
    x, found, rounds = _newton(ports, across, start, every, None)
    sources = np.zeros_like(x)
    for _ in range(DESCENTS):
        lost = np.flatnonzero(~found)
        if not len(lost):
            break
        few = ports.at(lost)
        x[:, lost], sources[:, lost] = descend(few, across, sources[:, lost], DOWNHILL)
        near, found[lost], more = _newton(few, across, x[:, lost], every, None, NEAR_ROUNDS)
        x[:, lost] = np.where(found[lost], near, x[:, lost])
        rounds += DOWNHILL + more
    return x, found, rounds


def _chunks(points: Any, strong: int, devices: int) -> list[Any]:
    """Points in chunks that need a few ten megabytes each."""
    size = max(1, 4_000_000 // max(1, strong * strong + 20 * devices))
    return [points[i : i + size] for i in range(0, len(points), size)]


def _strong(ports: Ports, slopes: Curve, across: Any, x: Any, much: float) -> Any:
    """Which devices are solved at each point: all but loads, and loads whose slope at ``x`` differs from ``slopes`` too much for the wiring before
    them."""
    import numpy as np

    strong = np.ones(len(across), bool)
    for kind, i, j, figures in ports.kinds:
        if kind in LOADS:
            here = curve(kind, x[i:j], ports.rho[i:j], figures).amps_slope
            reach = np.abs(here - slopes.amps_slope[i:j]).max(axis=1) * ports.rho[i:j, 0] * np.abs(np.diag(across)[i:j])
            strong[i:j] = reach > much
    return strong


def _newton(ports: Ports, across: Any, x: Any, strong: Any, slopes: Curve | None, near: int = 0) -> tuple[Any, Any, int]:
    """Newton rounds from ``x``; with ``slopes``, those of the devices that are not strong are taken from there. From a point said to be ``near``, so many
    rounds of any length."""
    import numpy as np

    step = _Step(ports, across, strong, slopes)
    result, found, active = x.copy(), np.zeros(x.shape[1], bool), np.arange(x.shape[1])
    shape, miss, close = _miss(ports, across, x)
    most = near or (ROUNDS if slopes is None else ROUNDS // 2)
    for rounds in range(most + 1):
        done = np.abs(miss).max(axis=0) <= close
        if done.any():
            result[:, active[done]], found[active[done]] = x[:, done], True
            left = np.flatnonzero(~done)
            if not len(left):
                break
            ports, active, x, miss = ports.at(left), active[left], x[:, left], miss[:, left]
            shape = Curve(*(s[:, left] for s in shape))
        if rounds < most:
            way = step.towards(shape, miss)
            if not near:
                bound = max(BOUND_V * BOUND_SHRINKS**rounds, BOUND_LEAST_V)
                way = way * np.minimum(1.0, bound / np.maximum(np.abs(way).max(axis=0), 1e-300))
            x = x + way
            shape, miss, close = _miss(ports, across, x)
    else:
        result[:, active] = x
    return result, found, rounds


def _miss(ports: Ports, across: Any, x: Any) -> tuple[Curve, Any, Any]:
    import numpy as np

    shape = ports.curves(x)
    a = shape.volts - ports.rho * shape.amps
    return shape, shape.volts - across @ a, CLOSE * np.maximum(1.0, np.abs(a).max(axis=0) / 10.0)


class _Step:
    """The way to go from a point, given the slopes there: J way = -F, J = diag(dv/dx) - H diag(da/dx)."""

    def __init__(self, ports: Ports, across: Any, strong: Any, slopes: Curve | None):
        import numpy as np

        self.ports, self.across, self.strong = ports, across, np.flatnonzero(strong)
        self.inverse = None
        if slopes is not None:
            self.volts, self.source = self._slopes(slopes)
            self.inverse = np.linalg.inv(np.diag(self.volts[:, 0]) - across * self.source[:, 0])
            self.by_volts, self.by_source = self.inverse[:, self.strong], self.inverse @ across[:, self.strong]

    def _slopes(self, shape: Curve) -> tuple[Any, Any]:
        return shape.volts_slope, shape.volts_slope - self.ports.rho * shape.amps_slope

    def towards(self, shape: Curve, miss: Any) -> Any:
        import numpy as np

        volts, source = self._slopes(shape)
        if self.inverse is None:
            matrix = -self.across * source.T[:, None, :]
            place = np.arange(len(self.across))
            matrix[:, place, place] += volts.T
            return -solved_systems(matrix, miss)
        far = self.inverse @ miss
        if not len(self.strong):
            return -far
        more_volts = (volts - self.volts)[self.strong]
        more_source = (source - self.source)[self.strong]
        small = self.by_volts[self.strong] * more_volts.T[:, None, :] - self.by_source[self.strong] * more_source.T[:, None, :]
        place = np.arange(len(self.strong))
        small[:, place, place] += 1.0
        near = solved_systems(small, -far[self.strong])
        return -far - self.by_volts @ (more_volts * near) + self.by_source @ (more_source * near)


def solved_systems(matrix: Any, right: Any) -> Any:
    """Solutions of (points, n, n) systems with right sides (n, points), (n, points); where one is singular all are moved off by a hair."""
    import numpy as np

    for hair in (0.0, 1e-12, 1e-9):
        try:
            return np.linalg.solve(matrix + hair * np.eye(len(right)) if hair else matrix, right.T[:, :, None])[:, :, 0].T
        except np.linalg.LinAlgError:
            continue
    return np.zeros_like(right)
