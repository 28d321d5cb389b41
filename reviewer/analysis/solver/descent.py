"""Descent on the content of the circuit: slow, and certain to reach an operating point.

The content of a circuit at some node voltages is half of what its resistors turn to heat there, and
for each device the integral of its current over its voltage from nothing (Millar, "Some general
theorems for non-linear systems possessing resistance", Philosophical Magazine 42 (1951) 1150-1160;
cited from memory). Its slope along the voltage of a node is what the currents of that node miss by:
where it is flat, they balance. It has no edges, though the currents have. Where each device takes
more current at more voltage it is a bowl with one lowest place. Loads of constant power dent the
bowl; its rim stays up, so that there is a lowest place still, and each such place is a state in
which the circuit would stay.

The voltages of all nodes follow from the sources ``a`` that the devices are drawn with (see
``linear``), so that it is those that are moved.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from reviewer.analysis.solver.device_ports import Ports
    from reviewer.analysis.solver.linear import Linear

#: a step ends where the slope along it is this share of what it was at the start, in at most so
#: many trials
FLATTER, TRIALS = 0.5, 60
#: the longest step: where hardly anything holds a part of the circuit its content has no low place
LONGEST = 1e6
#: volts that no source reaches: a point beyond them starts again
FAR = 1e9


def descend(ports: Ports, linear: Linear, sources: Any, steps: int) -> tuple[Any, Any]:
    """Go down ``steps`` steps from ``sources``. Gives x of the devices at the voltages reached, and
    the sources there; all are (devices, points)."""
    import numpy as np

    for _ in range(steps):
        volts = linear.across(sources)
        miss = (
            ports.rho * ports.amps(volts) + sources - volts
        )  # rho times what each device takes more than the network gives it
        shape = ports.curves(ports.x_at(volts))
        step = _newton_step(ports, linear, shape.volts_slope, shape.amps_slope, miss)
        uphill = ~((step[0] * miss / ports.rho).sum(axis=0) < 0)
        if uphill.any():  # constant power has no slope of its own here: as a resistance it would have one
            bowl = _newton_step(ports, linear, shape.volts_slope, np.maximum(shape.amps_slope, 0.0), miss)
            step = tuple(np.where(uphill, other, own) for own, other in zip(step, bowl, strict=True))
        more_volts, more_sources = step

        def slope(
            length: Any,
            volts: Any = volts,
            sources: Any = sources,
            dv: Any = more_volts,
            da: Any = more_sources,
        ) -> Any:
            at = volts + length * dv
            with np.errstate(over="ignore", invalid="ignore"):
                found = (dv * (ports.amps(at) + (sources + length * da - at) / ports.rho)).sum(axis=0)
            return np.where(np.isnan(found), np.inf, found)

        sources = sources + _length(slope, sources.shape[1]) * more_sources
        sources = np.where((np.abs(sources) < FAR).all(axis=0), sources, 0.0)
    return ports.x_at(linear.across(sources)), sources


def _newton_step(
    ports: Ports, linear: Linear, volts_slope: Any, amps_slope: Any, miss: Any
) -> tuple[Any, Any]:
    """Newton step for the voltages and for the sources, each (devices, points)."""
    step = linear.newton_step(volts_slope, amps_slope, -linear.across(miss))
    return volts_slope * step, (volts_slope - ports.rho * amps_slope) * step - miss


def _length(slope: Callable[[Any], Any], points: int) -> Any:
    """Length of the step, (points,), 1 for the whole step: to where the content is lower, and
    nearly as low as it gets along it.

    A place beyond the lowest one is accepted where the rise to it, at most its slope times the
    distance from the last place before, is no more than half of what was gained there, at least the
    slope there times the distance to it.
    """
    import numpy as np

    low, length, high = np.zeros(points), np.ones(points), np.full(points, np.inf)
    at_low, at_high = slope(low), np.full(points, np.inf)
    enough = FLATTER * np.abs(at_low)
    here = slope(length)
    for _ in range(TRIALS):
        short = (here < -enough) & (length < LONGEST)
        far = (here > enough) | ((here > 0) & ((length - low) * here > -0.5 * low * at_low))
        if not (short | far).any():
            break
        low, at_low = np.where(short, length, low), np.where(short, here, at_low)
        high, at_high = np.where(far, length, high), np.where(far, here, at_high)
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.where(np.isinf(at_high), 0.5, at_low / (at_low - at_high))
            within = np.where(np.isinf(high), 2.0 * length, low + (high - low) * np.clip(share, 0.1, 0.9))
        length = np.where(short | far, within, length)
        here = slope(length)
    return length
