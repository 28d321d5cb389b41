"""Newton's method on the devices of a circuit, for many operating points side by side.

The unknown of a device is the ``x`` of its curve (see ``device_curves``), and what must vanish is F
= v(x) - H a(x), volts. The slopes of most devices hardly differ from point to point and do little
across the small resistance of the wiring: they are taken from one point, the centre, and the matrix
with them is inverted once. Only for the devices that turn out to differ (``strong``) is a small
system solved at each point. A point that does not converge so is tried from another centre, one of
the points that remain; what remains after some centres, with every device's own slopes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reviewer.analysis.solver.circuit import ConstantPowerBranch, Device, LoadBranch, Singular
from reviewer.analysis.solver.descent import descend
from reviewer.analysis.solver.device_curves import Curve, current, curve, figures_of
from reviewer.model.record import record

#: volts by which a device may miss the network's voltage
CLOSE = 1e-12
ROUNDS = 25
#: a device is strong where its step goes wrong by more than this share because its slope is not the
#: centre's: looked at before each trial, of TRIED rounds; and how many centres are tried
MUCH, TRIED, CENTRES = (0.2, 0.1, 0.05, 0.05, 0.02, 0.02), 4, 8
#: numbers in the largest arrays
BLOCK = 4_000_000
#: longest step of the first round in volts, what is left of it in each round after, and the
#: shortest bound: without it a point oscillates between the limits of the sources
BOUND_V, BOUND_SHRINKS, BOUND_LEAST_V = 8.0, 0.85, 0.5
#: steps downhill between two trials of Newton's method, rounds of such a trial, and the most trials
DOWNHILL, NEAR_ROUNDS, DESCENTS = 4, 8, 12
LOADS = (LoadBranch, ConstantPowerBranch)


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

    def at(self, points: Any) -> Ports:
        """Some of the points, by index or mask."""
        chosen = [
            (k, i, j, {n: f if f.shape[1] == 1 else f[:, points] for n, f in figures.items()})
            for k, i, j, figures in self.kinds
        ]
        return Ports(tuple(chosen), self.rho)

    def middle(self) -> Ports:
        """One point: the median of every figure."""
        import numpy as np

        if all(f.shape[1] == 1 for _, _, _, figures in self.kinds for f in figures.values()):
            return self
        chosen = [
            (k, i, j, {n: np.median(f, axis=1, keepdims=True) for n, f in figures.items()})
            for k, i, j, figures in self.kinds
        ]
        return Ports(tuple(chosen), self.rho)


def ports_of(devices: Sequence[Device], figures: Sequence[dict[str, Any]], rho: Sequence[float]) -> Ports:
    """Ports of devices sorted by kind; ``figures[i]`` are those of ``devices[i]``, one number or
    (points,) each."""
    import numpy as np

    kinds, first = [], 0
    while first < len(devices):
        kind, last = type(devices[first]), first
        while last < len(devices) and type(devices[last]) is kind:
            last += 1
        block = {
            n: [np.atleast_1d(np.asarray(figures[i][n], float)) for i in range(first, last)]
            for n in figures_of(kind)
        }
        kinds.append(
            (kind, first, last, {n: np.stack(np.broadcast_arrays(*rows)) for n, rows in block.items()})
        )
        first = last
    return Ports(tuple(kinds), np.asarray(rho, float)[:, None])


def solve_ports(ports: Ports, across: Any, points: int) -> tuple[Any, Any, int]:
    """The operating points. Gives x, (devices, points); which points were found, (points,); and the
    most rounds that one took."""
    import numpy as np

    middle, nothing = ports.middle(), np.zeros((len(across), 1))
    start, known, rounds = _from(middle, across, nothing)
    if points == 1:
        return start, known, rounds
    x, found = np.repeat(start, points, axis=1), np.zeros(points, bool)
    for _ in range(CENTRES):
        if known[0]:
            centre = _Centre(middle, across, start)
            for some in _chunks(np.flatnonzero(~found), len(across)):
                x[:, some], found[some], more = _round_centre(ports.at(some), across, centre)
                rounds = max(rounds, more)
        lost = np.flatnonzero(~found)
        if not len(lost):
            return x, found, rounds
        one = lost[len(lost) // 2 :][:1]
        middle = ports.at(one)
        start, known, more = _from(middle, across, nothing)
        x[:, one], found[one], rounds = start, known, max(rounds, more)
    for some in _chunks(np.flatnonzero(~found), len(across) ** 2):
        x[:, some], found[some], more = _from(ports.at(some), across, np.zeros((len(across), len(some))))
        rounds = max(rounds, more)
    return x, found, rounds


def _round_centre(ports: Ports, across: Any, centre: _Centre) -> tuple[Any, Any, int]:
    """Points by the slopes of a centre, but for devices that turn out to differ."""
    import numpy as np

    points = max([1, *(f.shape[1] for *_, figures in ports.kinds for f in figures.values())])
    x, found, rounds = np.repeat(centre.x, points, axis=1), np.zeros(points, bool), 0
    strong = np.zeros(len(across), bool)
    for much in MUCH:
        lost = np.flatnonzero(~found)
        few = ports.at(lost)
        strong |= centre.differs(few.curves(x[:, lost])) > much
        step = _Step(few, across, centre, strong)
        x[:, lost], found[lost], more = _newton(few, across, x[:, lost], step, TRIED, rounds)
        rounds += more
        if found.all():
            break
    return x, found, rounds


def _from(ports: Ports, across: Any, start: Any) -> tuple[Any, Any, int]:
    """Full Newton: steps of bounded length find nearly every point, and those that oscillate are
    found by descent."""
    import numpy as np

    x, found, rounds = _newton(ports, across, start, _Step(ports, across), ROUNDS)
    sources = np.zeros_like(x)
    for _ in range(DESCENTS):
        lost = np.flatnonzero(~found)
        if not len(lost):
            break
        few = ports.at(lost)
        x[:, lost], sources[:, lost] = descend(few, across, sources[:, lost], DOWNHILL)
        near, found[lost], more = _newton(few, across, x[:, lost], _Step(few, across), NEAR_ROUNDS, None)
        x[:, lost] = np.where(found[lost], near, x[:, lost])
        rounds += DOWNHILL + more
    return x, found, rounds


def _chunks(points: Any, each: int) -> list[Any]:
    """Points in chunks that need a few ten megabytes, ``each`` numbers a point."""
    size = max(1, BLOCK // each)
    return [points[i : i + size] for i in range(0, len(points), size)]


def _newton(
    ports: Ports, across: Any, x: Any, step: _Step, most: int, before: int | None = 0
) -> tuple[Any, Any, int]:
    """At most ``most`` Newton rounds from ``x``, each of bounded length, ``before`` rounds having
    been made; of any length where ``before`` is None."""
    import numpy as np

    result, found, active = x.copy(), np.zeros(x.shape[1], bool), np.arange(x.shape[1])
    shape, miss, close = _miss(ports, across, x)
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
            change = step.towards(shape, miss)
            if before is not None:
                bound = max(BOUND_V * BOUND_SHRINKS ** (rounds + before), BOUND_LEAST_V)
                change = change * np.minimum(1.0, bound / np.maximum(np.abs(change).max(axis=0), 1e-300))
            x = x + change
            shape, miss, close = _miss(ports, across, x)
    else:
        result[:, active] = x
    return result, found, rounds


def _miss(ports: Ports, across: Any, x: Any) -> tuple[Curve, Any, Any]:
    import numpy as np

    shape = ports.curves(x)
    a = shape.volts - ports.rho * shape.amps
    return shape, shape.volts - across @ a, CLOSE * np.maximum(1.0, np.abs(a).max(axis=0) / 10.0)


class _Centre:
    """A point that was found, with the inverse of its J = diag(dv/dx) - H diag(da/dx), from which
    others are found."""

    def __init__(self, ports: Ports, across: Any, x: Any):
        import numpy as np

        self.x = x
        self.volts, self.source = _slopes(ports, ports.curves(x))
        try:
            self.inverse = np.linalg.inv(np.diag(self.volts[:, 0]) - across * self.source[:, 0])
        except np.linalg.LinAlgError as singular:
            raise Singular from singular
        self.driven = self.inverse @ across
        self.rho = ports.rho

    def differs(self, shape: Curve) -> Any:
        """By what share of itself the step of each device goes wrong when it is made with the slope
        of the centre, the most at any point, (devices,)."""
        import numpy as np

        more_volts, more_source = (
            shape.volts_slope - self.volts,
            shape.volts_slope - self.rho * shape.amps_slope - self.source,
        )
        return np.abs(
            np.diag(self.inverse)[:, None] * more_volts - np.diag(self.driven)[:, None] * more_source
        ).max(axis=1)


def _slopes(ports: Ports, shape: Curve) -> tuple[Any, Any]:
    return shape.volts_slope, shape.volts_slope - ports.rho * shape.amps_slope


class _Step:
    """Newton step from a point, given the slopes there: J step = -F. With a centre, only devices
    that are ``strong`` have slopes of their own."""

    def __init__(self, ports: Ports, across: Any, centre: _Centre | None = None, strong: Any = ()):
        import numpy as np

        self.rho, self.across, self.centre, self.strong = ports.rho, across, centre, np.flatnonzero(strong)
        if centre is not None:
            self.by_volts, self.by_source = centre.inverse[:, self.strong], centre.driven[:, self.strong]

    def towards(self, shape: Curve, miss: Any) -> Any:
        import numpy as np

        volts, source = shape.volts_slope, shape.volts_slope - self.rho * shape.amps_slope
        if self.centre is None:
            matrix = -self.across * source.T[:, None, :]
            place = np.arange(len(self.across))
            matrix[:, place, place] += volts.T
            return -solved_systems(matrix, miss)
        far = self.centre.inverse @ miss
        if not len(self.strong):
            return -far
        more_volts = (volts - self.centre.volts)[self.strong]
        more_source = (source - self.centre.source)[self.strong]
        near = np.empty_like(more_volts)
        place = np.arange(len(self.strong))
        for some in _chunks(np.arange(near.shape[1]), len(place) ** 2):
            small = (
                self.by_volts[self.strong] * more_volts.T[some, None, :]
                - self.by_source[self.strong] * more_source.T[some, None, :]
            )
            small[:, place, place] += 1.0
            near[:, some] = solved_systems(small, -far[self.strong][:, some])
        return -far - self.by_volts @ (more_volts * near) + self.by_source @ (more_source * near)


def solved_systems(matrix: Any, right: Any) -> Any:
    """Solutions of (points, n, n) systems with right sides (n, points), (n, points); where one is
    singular all are perturbed slightly."""
    import numpy as np

    for hair in (0.0, 1e-12, 1e-9):
        try:
            return np.linalg.solve(
                matrix + hair * np.eye(len(right)) if hair else matrix, right.T[:, :, None]
            )[:, :, 0].T
        except np.linalg.LinAlgError:
            continue
    return np.zeros_like(right)
