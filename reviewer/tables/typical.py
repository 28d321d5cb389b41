"""Typical values of the trade: one for each figure that a file may leave out where an operating
point is solved.

Each says what it rests on.
"""

from __future__ import annotations

import math
from functools import cache, lru_cache

from reviewer.tables.interpolation import interpolate
from reviewer.tables.lookup import OutsideTable, PrintedTable, SourcedFigure, table

FILE = "typical_values"


@cache
def typical(kind: str, name: str) -> SourcedFigure:
    """A typical value: ``kind`` ``"volts"``, ``"ohms"``, ``"amperes"``, ``"celsius"``,
    ``"density"`` or ``"shares"``.

    A name may stand in the section of common practice or in that of figures from memory; the origin
    of the answer says which. Raises :class:`OutsideTable`.
    """
    for section in (kind, f"{kind}_from_memory"):
        try:
            return table(FILE, section).at(name)
        except (OutsideTable, KeyError):
            continue
    raise OutsideTable(f"no typical value in {kind} is named {name}")


def unregulated_volts(scale: float) -> SourcedFigure:
    """Volts of an alternator at full field that nothing regulates; ``scale`` is 1 of a 14 V system, 2 of
    one of 28 V."""
    return typical("volts", "alternator-unregulated" + ("-28" if scale > 1 else ""))


def battery_ohms(chemistry: str, ampere_hours: float) -> SourcedFigure:
    """Typical resistance in ohm of a new, charged battery of a 14 V system, by its capacity.

    Between the sizes of the table it is linear on logarithmic scales; outside, resistance times
    capacity stays as at the end. Raises KeyError for a chemistry that is not there.
    """
    made = _by_chemistry(chemistry, "ohms")
    points = made.points()
    if points[0][0] <= ampere_hours <= points[-1][0]:
        on_paper = [(math.log(size), math.log(ohms)) for size, ohms in points]
        return SourcedFigure(math.exp(interpolate(on_paper, math.log(ampere_hours))), made.origin)
    size, ohms = points[0] if ampere_hours < points[0][0] else points[-1]
    return SourcedFigure(ohms * size / ampere_hours, made.origin)


@lru_cache(maxsize=1024)
def charge_acceptance(chemistry: str, state_of_charge: float) -> SourcedFigure:
    """Amperes that a battery of a 14 V system accepts for each ampere-hour of capacity and each
    volt above its open-circuit voltage, linear between the points of the table; ``state_of_charge``
    from 0 to 1.

    Raises KeyError for a chemistry and :class:`OutsideTable` for a state of charge that is not
    there.
    """
    made = _by_chemistry(chemistry, "acceptance")
    percent = 100 * state_of_charge
    if 100 < percent <= 100 + 1e-9:  # a sum of shares may miss 1 by a rounding error
        percent = 100.0
    try:
        return SourcedFigure(interpolate(made.points(), percent), made.origin)
    except ValueError:
        raise OutsideTable(
            f"{made.origin.title} has no point for {state_of_charge:.0%}; it goes from {made.origin.range}"
        ) from None


def acceptance_knots(chemistry: str) -> tuple[float, ...]:
    """The states of charge (0 to 1) between which :func:`charge_acceptance` is linear, rising."""
    return tuple(percent / 100 for percent, _ in _by_chemistry(chemistry, "acceptance").points())


def _by_chemistry(chemistry: str, what: str) -> PrintedTable:
    return table(FILE, f"{chemistry.replace('-', '_')}_{what}")
