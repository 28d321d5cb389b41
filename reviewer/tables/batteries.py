"""Open-circuit voltage of a battery by its state of charge, and back.

Secondary figures; charts of lithium differ by a tenth of the charge and more.
"""

from __future__ import annotations

from functools import lru_cache

from reviewer.tables.interpolation import interpolate
from reviewer.tables.lookup import OutsideTable, PrintedTable, SourcedFigure, table

CHEMISTRIES = {"lead-acid": "lead_acid", "lithium-iron-phosphate": "lithium_iron_phosphate"}


@lru_cache(maxsize=1024)
def open_circuit_voltage(chemistry: str, state_of_charge: float, nominal: str = "14 V") -> SourcedFigure:
    """Open-circuit volts of a rested battery at a ``state_of_charge`` (0 to 1), linear between the
    printed points.

    ``nominal`` is that of the system: the battery of a ``"28 V"`` system has twice as many cells.
    Lithium is printed to 99 % and read there when fuller. Raises :class:`OutsideTable`.
    """
    printed, cells = _table(chemistry), _cells(nominal)
    points = printed.points()
    percent = 100 * state_of_charge
    if not 0 <= percent <= 100 + 1e-9:
        raise OutsideTable(
            f"{printed.origin.title} has no point for {percent:g} %; it goes from {printed.origin.range}"
        )
    return SourcedFigure(cells * interpolate(points, min(percent, points[-1][0])), printed.origin)


def open_circuit_knots(chemistry: str) -> tuple[float, ...]:
    """The printed states of charge (0 to 1), rising; between them :func:`open_circuit_voltage` is
    linear. Raises :class:`OutsideTable`."""
    return tuple(percent / 100 for percent, _ in _table(chemistry).points())


def state_of_charge_at(chemistry: str, volts: float, nominal: str = "14 V") -> SourcedFigure:
    """The state of charge (0 to 1) of a rested battery with ``volts`` at open circuit; 0 below and
    1 above the printed voltages. Raises :class:`OutsideTable`."""
    printed, cells = _table(chemistry), _cells(nominal)
    points = [(v, p) for p, v in printed.points()]
    volts /= cells
    if volts <= points[0][0]:
        return SourcedFigure(0.0, printed.origin)
    return SourcedFigure(1.0 if volts > points[-1][0] else interpolate(points, volts) / 100, printed.origin)


def _table(chemistry: str) -> PrintedTable:
    if chemistry not in CHEMISTRIES:
        known = ", ".join(CHEMISTRIES)
        raise OutsideTable(f"no open-circuit voltages are printed for `{chemistry}`; known: {known}")
    return table("battery_open_circuit_voltage", CHEMISTRIES[chemistry])


def _cells(nominal: str) -> int:
    if nominal not in ("14 V", "28 V"):
        raise OutsideTable(
            f"open-circuit voltages are printed for 14 V and 28 V systems, not for `{nominal}`"
        )
    return 2 if nominal == "28 V" else 1
