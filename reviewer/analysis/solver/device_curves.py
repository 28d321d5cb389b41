"""I-V curve of each kind of device, and the same curve by a parameter in which it has no steep
place.

The I-V curve of a diode, a battery or a regulated source is nearly a step: steep in the voltage
here, in the current there. As functions of ``x = v + rho i`` with a fixed resistance rho both are
smooth, and Newton's method converges. Loads are functions of their voltage.
"""

from __future__ import annotations

from operator import attrgetter
from typing import Any, NamedTuple

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    Device,
    DiodeBranch,
    InletBranch,
    LoadBranch,
    RegulatedBranch,
    StartingBranch,
)

#: droop of a regulated source, V/A: it decides how two of them at one stud share the load
DROOP_OHM = 1e-4


class Curve(NamedTuple):
    """Volts and amperes of some devices at some points, and their slopes by x. Each array is
    (devices, points)."""

    volts: Any
    amps: Any
    volts_slope: Any
    amps_slope: Any


def figures_of(kind: type[Device]) -> tuple[str, ...]:
    """Names of the figures of a kind of device."""
    return _FIGURES[kind]


_FIGURES: dict[type[Device], tuple[str, ...]] = {
    DiodeBranch: ("saturation", "scale"),
    BatteryBranch: ("open_circuit", "ohms", "charge_ohms"),
    RegulatedBranch: ("volts", "limit"),
    LoadBranch: ("amps", "volts", "least", "constant_fraction"),
    StartingBranch: ("amps", "volts", "least", "constant_fraction", "siemens"),
    ConstantPowerBranch: ("watts", "least", "most"),
    InletBranch: ("watts", "least", "most"),
}


_READ = {kind: attrgetter(*names) for kind, names in _FIGURES.items()}


def figures_in(device: Device) -> dict[str, float]:
    """The figures of a device, by name."""
    kind = type(device)
    return dict(zip(_FIGURES[kind], _READ[kind](device), strict=True))


def current(kind: type[Device], v: Any, f: dict[str, Any]) -> Any:
    """Amperes of devices of a kind at ``v`` volts; ``f`` their figures, each (devices, points) or
    (devices, 1)."""
    import numpy as np

    if kind is DiodeBranch:
        return f["saturation"] * np.expm1(np.minimum(v / f["scale"], 700.0))
    if kind is BatteryBranch:
        over = v - f["open_circuit"]
        return np.where(over > 0, over / f["charge_ohms"], over / f["ohms"])
    if kind is RegulatedBranch:
        return -np.clip((f["volts"] - v) / DROOP_OHM, 0.0, f["limit"])
    return _LOADS[kind](np, v, f)[0]


def curve(kind: type[Device], x: Any, rho: Any, f: dict[str, Any]) -> Curve:
    """Devices of a kind at ``x``: volts and amperes of the one point of the curve of each where v +
    rho i = x; for loads x is the voltage."""
    import numpy as np

    if kind is DiodeBranch:
        return _diode(np, x, rho, f)
    if kind is BatteryBranch:
        ohms = np.where(x > f["open_circuit"], f["charge_ohms"], f["ohms"])
        amps = (x - f["open_circuit"]) / (rho + ohms)
        return Curve(x - rho * amps, amps, ohms / (rho + ohms), 1.0 / (rho + ohms))
    if kind is RegulatedBranch:
        given = (f["volts"] - x) / (rho + DROOP_OHM)
        inside = (given > 0) & (given < f["limit"])
        amps = -np.minimum(np.maximum(given, 0.0), f["limit"])
        slope = np.where(inside, 1.0 / (rho + DROOP_OHM), 0.0)
        return Curve(x - rho * amps, amps, 1.0 - rho * slope, slope)
    amps, slope = _LOADS[kind](np, x, f)
    return Curve(x, amps, np.ones_like(amps), slope)


def by_followed(kind: type[Device], x: Any, rho: Any, f: dict[str, Any]) -> tuple[Any, Any]:
    """Slopes of volts and amperes of devices of a kind at a fixed ``x`` by the figure that follows
    what is solved: the volts of a regulated source, the watts of an inlet."""
    import numpy as np

    if kind is RegulatedBranch:
        given = (f["volts"] - x) / (rho + DROOP_OHM)
        slope = np.where((given > 0) & (given < f["limit"]), -1.0 / (rho + DROOP_OHM), 0.0)
        return -rho * slope, slope
    assert kind is InletBranch
    return np.zeros_like(x), x / np.clip(x, f["least"], f["most"]) ** 2


def _load(np: Any, v: Any, f: dict[str, Any]) -> tuple[Any, Any]:
    slope = f["amps"] * (1.0 - f["constant_fraction"]) / f["volts"]
    fixed = f["amps"] * f["constant_fraction"]
    below = slope + fixed / f["least"]
    low = abs(v) < f["least"]
    return (
        np.where(low, below * v, np.copysign(fixed, v) + slope * v),
        np.where(low, below, slope) + 0.0 * v,
    )


def _starting(np: Any, v: Any, f: dict[str, Any]) -> tuple[Any, Any]:
    amps, slope = _load(np, v, f)
    stalled = f["siemens"] * v
    more = abs(stalled) > abs(amps)
    return np.where(more, stalled, amps), np.where(more, f["siemens"], slope)


def _power(np: Any, v: Any, f: dict[str, Any]) -> tuple[Any, Any]:
    held = np.minimum(np.maximum(v, f["least"]), f["most"])
    siemens = f["watts"] / held**2
    return siemens * v, np.where(held == v, -siemens, siemens)


_LOADS = {
    LoadBranch: _load,
    StartingBranch: _starting,
    ConstantPowerBranch: _power,
    InletBranch: _power,
}


def _diode(np: Any, x: Any, rho: Any, f: dict[str, Any]) -> Curve:
    """v + rho Is (exp(v/s) - 1) = x has the solution i + Is = (s / rho) W((rho Is / s) exp((x + rho
    Is) / s)), W the function of Lambert."""
    scale, saturation = f["scale"], f["saturation"]
    w = omega(np.log(rho * saturation / scale) + (x + rho * saturation) / scale)
    amps = scale / rho * w - saturation
    return Curve(x - rho * amps, amps, 1.0 / (1.0 + w), w / (1.0 + w) / rho)


def omega(z: Any) -> Any:
    """W(exp(z)) for real z, W the principal branch of Lambert's function: the w > 0 with w + ln w =
    z. To about the last digit of a double.

    Started from the series at either end, then two steps of the iteration of Fritsch, Shafer and
    Crowley, "Solution of the transcendental equation w e^w = x", Communications of the ACM 16
    (1973) 123-124 (cited from memory).
    """
    import numpy as np

    z = np.minimum(np.maximum(z, -700.0), 1e60)  # far beyond any circuit, and its square is a double still
    tiny = np.exp(np.minimum(z, 0.0))
    high = np.maximum(z, 1.0)
    w = np.where(
        z < -2.0,
        tiny * (1.0 - tiny),
        np.where(z < 1.0, np.exp(2.0 * (np.minimum(z, 1.0) - 1.0) / 3.0), high - np.log(high)),
    )
    for _ in range(2):
        rest, more = z - w - np.log(w), 1.0 + w
        q = 2.0 * more * (more + 2.0 / 3.0 * rest)
        w = w * (1.0 + rest / more * (q - rest) / (q - 2.0 * rest))
    return w
