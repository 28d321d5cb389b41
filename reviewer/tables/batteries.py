"""Rest voltage of a battery by its charge, and back. Secondary figures; charts of lithium differ by a tenth of the charge and more."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from reviewer.tables.lookup import Figure, OutsideTable, Table, table

CHEMISTRIES = {"lead-acid": "lead_acid", "lithium-iron-phosphate": "lithium_iron_phosphate"}


def rest_voltage(chemistry: str, charge: float, nominal: str = "14 V") -> Figure:
    """Volts at rest of a battery with the share ``charge`` (0 to 1) of its charge, linear between the printed points.

    ``nominal`` is that of the system: a ``"28 V"`` system's battery has twice as many cells. Lithium is printed to 99 % and read there when
    fuller. Raises :class:`OutsideTable`.
    """
    printed, cells = _table(chemistry), _cells(nominal)
    points = printed.points()
    percent = 100 * charge
    if not 0 <= percent <= 100 + 1e-9:
        raise OutsideTable(
            f"{printed.origin.title} has no point for {percent:g} %; it goes from {printed.origin.range}"
        )
    return Figure(cells * _between(points, min(percent, points[-1][0])), printed.origin)


def rest_knots(chemistry: str) -> tuple[float, ...]:
    """The shares of charge (0 to 1) that are printed, in rising order; between them :func:`rest_voltage` is straight. Raises :class:`OutsideTable`."""
    return tuple(percent / 100 for percent, _ in _table(chemistry).points())


def charge_at_rest(chemistry: str, volts: float, nominal: str = "14 V") -> Figure:
    """The share of charge (0 to 1) of a battery at rest at ``volts``; 0 below and 1 above the printed voltages. Raises :class:`OutsideTable`."""
    printed, cells = _table(chemistry), _cells(nominal)
    points = [(v, p) for p, v in printed.points()]
    volts /= cells
    if volts <= points[0][0]:
        return Figure(0.0, printed.origin)
    return Figure(1.0 if volts > points[-1][0] else _between(points, volts) / 100, printed.origin)


def _table(chemistry: str) -> Table:
    if chemistry not in CHEMISTRIES:
        raise OutsideTable(f"no rest voltages are printed for `{chemistry}`; known: {', '.join(CHEMISTRIES)}")
    return table("battery_rest_voltage", CHEMISTRIES[chemistry])


def _cells(nominal: str) -> int:
    if nominal not in ("14 V", "28 V"):
        raise OutsideTable(f"rest voltages are printed for 14 V and 28 V systems, not for `{nominal}`")
    return 2 if nominal == "28 V" else 1


def _between(points: Sequence[tuple[float, float]], x: float) -> float:
    for (x0, y0), (x1, y1) in pairwise(points):
        if x0 <= x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    raise OutsideTable(f"{x:g} is outside {points[0][0]:g} to {points[-1][0]:g}")
