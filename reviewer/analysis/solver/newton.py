"""Newton's method on the devices of a circuit, for many operating points side by side.

The unknown of a device is the ``x`` of its curve (see ``device_curves``), and what must vanish is F
= v(x) - H a(x), volts. The point in the middle of all is found first, and the others from there; a
point to which Newton's method does not lead is found by descent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reviewer.analysis.solver.coupling import Couplings
from reviewer.analysis.solver.descent import descend
from reviewer.analysis.solver.device_curves import Curve
from reviewer.analysis.solver.device_ports import Ports
from reviewer.analysis.solver.linear import Linear

#: volts by which a device may miss the network's voltage, and how many times as many a curve may bend
#: in a round after which that is looked at: to know what all miss by takes as long as a step
CLOSE, STRAIGHT = 1e-12, 100.0
#: rounds in which a point is found, and those in which nearly all are
ROUNDS, SOON = 25, 7
#: longest step of each device in the first round in volts, what is left of it in each round after,
#: and the shortest bound: without it a point oscillates between the limits of the sources. A load
#: behind a diode that blocks asks for thousands of volts, for which the others need not wait
BOUND_V, BOUND_SHRINKS, BOUND_LEAST_V = 16.0, 0.85, 0.5
#: the same where all start from 0 V: there all wait for the one that asks for the most, and come to
#: the lowest of several operating points
COLD_BOUND_V = 8.0
#: steps downhill between two trials of Newton's method, rounds of such a trial, and the most trials
DOWNHILL, NEAR_ROUNDS, DESCENTS = 4, 8, 24
NONE = Couplings()


def solve_ports(
    ports: Ports,
    linear: Linear,
    points: int,
    idle: Mapping[int, Any],
    near: Any = None,
    given_up: Sequence[int] = (),
    couplings: Couplings = NONE,
) -> tuple[Any, Any, int]:
    """The operating points; ``idle`` has the points in which a device (a row) is to start from 0 V;
    ``near`` is the x of points that are near to these, from which each is looked for first, but not
    those ``given_up``. Gives x, (devices, points), with the figures of the couplings below it; which
    points were found, (points,); and the most rounds that one took."""
    import numpy as np

    if near is not None and near.shape[1] == points:
        return _from_near(ports, linear, points, idle, near, given_up, couplings)
    cold = _cold(ports, idle, points)
    middle, own = ports.middle(), couplings.middle()
    begin = np.concatenate([np.zeros((len(ports.rho), 1)), own.given(middle, 1)])
    start, known, rounds = _from(middle, linear, begin, cold.all(keepdims=True), own)
    if points == 1:
        return start, known, rounds
    x, found = np.repeat(start, points, axis=1), np.zeros(points, bool)
    for row, still in idle.items():
        x[row, still] = 0.0
    size, soon = linear.points_at_once(), min(SOON, ROUNDS)
    for some in (slice(begin, begin + size) for begin in range(0, points, size)):
        x[:, some], found[some], more = _newton(
            ports.at(some), linear, x[:, some], soon, cold[some], couplings.at(some)
        )
        rounds = max(rounds, more)
    late = np.flatnonzero(~found)  # few of each, all together
    for few in (late[begin : begin + size] for begin in range(0, len(late), size)):
        x[:, few], found[few], more = _from(
            ports.at(few), linear, x[:, few], cold[few], couplings.at(few), soon
        )
        rounds = max(rounds, more)
    return x, found, rounds


def _from_near(
    ports: Ports,
    linear: Linear,
    points: int,
    idle: Mapping[int, Any],
    near: Any,
    given_up: Sequence[int],
    couplings: Couplings,
) -> tuple[Any, Any, int]:
    """:func:`solve_ports` from points near by; those that are not found so as without them."""
    import numpy as np

    x = np.concatenate([near, couplings.given(ports, points)])
    found, rounds, cold = np.zeros(points, bool), 0, _cold(ports, idle, points)
    sought = np.delete(np.arange(points), given_up)
    size = linear.points_at_once()
    for some in (sought[begin : begin + size] for begin in range(0, len(sought), size)):
        x[:, some], found[some], more = _newton(
            ports.at(some), linear, x[:, some], NEAR_ROUNDS, cold[some], couplings.at(some)
        )
        rounds = max(rounds, more)
    if len(lost := sought[~found[sought]]):
        still = {row: which[lost] for row, which in idle.items()}
        x[:, lost], found[lost], more = solve_ports(
            ports.at(lost), linear, len(lost), still, couplings=couplings.at(lost)
        )
        rounds += more
    return x, found, rounds


def _cold(ports: Ports, idle: Mapping[int, Any], points: int) -> Any:
    """The points in which all devices start from 0 V, (points,)."""
    import numpy as np

    if len(idle) < len(ports.rho):
        return np.zeros(points, bool)
    return np.logical_and.reduce([np.broadcast_to(still, (points,)) for still in idle.values()])


def _from(
    ports: Ports, linear: Linear, start: Any, cold: Any, couplings: Couplings, begin: int = 0
) -> tuple[Any, Any, int]:
    """Full Newton, of which ``begin`` rounds are done: steps of bounded length find nearly every
    point, and those that oscillate are found by descent where no figure follows what is found."""
    import numpy as np

    x, found, rounds = _newton(ports, linear, start, ROUNDS, cold, couplings, begin)
    if couplings.every:  # no content has its lowest place where figures follow what is found
        return x, found, rounds
    sources = np.zeros_like(x)
    for _ in range(DESCENTS):
        lost = np.flatnonzero(~found)
        if not len(lost):
            break
        few = ports.at(lost)
        x[:, lost], sources[:, lost] = descend(few, linear, sources[:, lost], DOWNHILL)
        near, found[lost], more = _newton(few, linear, x[:, lost], NEAR_ROUNDS, None, couplings)
        x[:, lost] = np.where(found[lost], near, x[:, lost])
        rounds += DOWNHILL + more
    return x, found, rounds


def _newton(
    ports: Ports, linear: Linear, x: Any, most: int, cold: Any, couplings: Couplings, begin: int = 0
) -> tuple[Any, Any, int]:
    """Newton rounds from ``x``, the ``begin``-th to the last of ``most``, with the figures of
    couplings below those of the devices: each of bounded length, of all devices together in the
    points that are ``cold``; of any length where ``cold`` is None."""
    import numpy as np

    result, found, active = x.copy(), np.zeros(x.shape[1], bool), np.arange(x.shape[1])
    joined = bool(couplings.every)
    shape = _curves(ports, x, couplings)
    miss: Any = None
    done = found
    if joined:
        miss, done = _miss(ports, linear, x, shape, couplings)
    for rounds in range(begin, most + 1):
        if done.any():
            result[:, active[done]], found[active[done]] = x[:, done], True
            left = np.flatnonzero(~done)
            if not len(left):
                break
            ports, active, x, miss = ports.at(left), active[left], x[:, left], miss[:, left]
            couplings, shape = couplings.at(left), Curve(*(s[:, left] for s in shape))
            cold = cold if cold is None else cold[left]
        if rounds < most:
            change, whole = _step(ports, linear, x, shape, miss, couplings, rounds, cold)
            x, before = x + change, shape
            shape = _curves(ports, x, couplings)
            if joined or (whole.any() and (whole & _straight(ports, before, change, shape)).any()):
                miss, done = _miss(ports, linear, x, shape, couplings)
            else:
                miss, done = None, np.zeros(len(active), bool)
    else:
        result[:, active] = x
    return result, found, rounds


def _step(
    ports: Ports,
    linear: Linear,
    x: Any,
    shape: Curve,
    miss: Any,
    couplings: Couplings,
    rounds: int,
    cold: Any,
) -> tuple[Any, Any]:
    """What x and the figures of couplings are to change by, and the points at which that is the
    whole step, (points,). ``miss`` is None where it is not known: then a step is as long, and less
    exact."""
    import numpy as np

    if not couplings.every:
        right, sources = (-shape.volts, _sources(ports, shape)) if miss is None else (-miss, None)
        step, _ = linear.steady_steps(shape.volts_slope, shape.amps_slope, right, (), sources)[0]
        if cold is None:
            return step, np.ones(step.shape[1], bool)
        change = _bounded(step, rounds, cold)
        change = change * ports.leap(x, change)
        return change, (change == step).all(axis=0)
    count = len(ports.rho)
    ports = ports.having(couplings, x[count:])
    change, figures = couplings.step(ports, linear, x[:count], shape, miss[:count], -miss[count:])
    if cold is not None:
        change = _bounded(change, rounds, cold)
        moved = change.copy()  # past the volts that a source is set to as they move themselves
        for one, more in zip(couplings.every, figures, strict=True):
            moved[one.row] -= more if one.name == "volts" else 0.0
        share = ports.leap(x[:count], moved)
        change, figures = change * share, figures * share
    return np.concatenate([change, figures]), None


def _bounded(change: Any, rounds: int, cold: Any) -> Any:
    """A step, (devices, points), no longer than the bounds are after some rounds."""
    import numpy as np

    own, together = (max(b * BOUND_SHRINKS**rounds, BOUND_LEAST_V) for b in (BOUND_V, COLD_BOUND_V))
    bounded = np.minimum(np.maximum(change, -own), own)
    if cold.any():
        longest = np.abs(change[:, cold]).max(axis=0)
        bounded[:, cold] = change[:, cold] * np.minimum(1.0, together / np.maximum(longest, 1e-300))
    return bounded


def _curves(ports: Ports, x: Any, couplings: Couplings) -> Curve:
    """The curves at x, with the figures of the couplings below it."""
    count = len(ports.rho)
    return (ports.having(couplings, x[count:]) if couplings.every else ports).curves(x[:count])


def _sources(ports: Ports, shape: Curve) -> Any:
    return shape.volts - ports.rho * shape.amps


def _straight(ports: Ports, before: Curve, change: Any, after: Curve) -> Any:
    """The points, (points,), at which no curve bends on the way that x changes, so that they may be
    found."""
    import numpy as np

    volts = after.volts - before.volts - before.volts_slope * change
    amps = after.amps - before.amps - before.amps_slope * change
    bend = np.maximum(np.abs(volts), np.abs(ports.rho * amps)).max(axis=0)
    return bend <= STRAIGHT * _close(_sources(ports, after))


def _close(sources: Any) -> Any:
    """Volts by which a device may miss the network's voltage, (points,)."""
    import numpy as np

    return CLOSE * np.maximum(1.0, np.abs(sources).max(axis=0) / 10.0)


def _miss(ports: Ports, linear: Linear, x: Any, shape: Curve, couplings: Couplings) -> tuple[Any, Any]:
    """What the volts of the devices and the figures of the couplings miss by at x, and the points
    that are found."""
    import numpy as np

    joined, sources = bool(couplings.every), _sources(ports, shape)
    core = linear.core_volts(sources)
    miss = shape.volts - linear.between(core)
    done = np.abs(miss).max(axis=0) <= _close(sources)
    if joined:
        asked = couplings.missed(x[len(ports.rho) :], shape, core)
        done = (done & couplings.found(asked)) | couplings.decided(shape, miss, asked)
        miss = np.concatenate([miss, -asked])
    return miss, done
