"""Typical values of the trade, one for each figure that a file may leave out where volts and amperes are solved. Each says what it rests on."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise

from reviewer.tables.lookup import Figure, OutsideTable, table

FILE = "typical_values"


@cache
def typical(kind: str, name: str) -> Figure:
    """A typical value: ``kind`` ``"volts"``, ``"ohms"``, ``"amperes"``, ``"celsius"`` or ``"shares"``. Raises :class:`OutsideTable`.

    A name may stand in the section of common practice or in that of figures from memory; the origin of the answer says which.
    """
    for section in (kind, f"{kind}_from_memory"):
        try:
            return table(FILE, section).at(name)
        except (OutsideTable, KeyError):
            continue
    raise OutsideTable(f"no typical value in {kind} is named {name}")


def battery_ohms(chemistry: str, ampere_hours: float) -> Figure:
    """Typical resistance of a new, charged battery of a 14 V system, between the sizes of the table straight on logarithmic paper. Raises KeyError for
    a chemistry that is not there."""
    made = table(FILE, f"{chemistry.replace('-', '_')}_ohms")
    points = made.points()
    for (one, ohms), (other, more) in pairwise(points):
        if one <= ampere_hours <= other:
            return Figure(
                ohms * (more / ohms) ** (math.log(ampere_hours / one) / math.log(other / one)), made.origin
            )
    size, ohms = points[0] if ampere_hours < points[0][0] else points[-1]
    return Figure(ohms * size / ampere_hours, made.origin)


def charge_acceptance(chemistry: str, charge: float) -> Figure:
    """Amperes that a battery takes for each ampere-hour and each volt above its rest voltage, a 14 V system's battery; ``charge`` from 0 to 1, straight
    between the points of the table. Raises KeyError for a chemistry and :class:`OutsideTable` for a charge that is not there."""
    made = table(FILE, f"{chemistry.replace('-', '_')}_acceptance")
    for (one, low), (other, high) in pairwise(made.points()):
        if one <= 100 * charge <= other:
            return Figure(low + (high - low) * (100 * charge - one) / (other - one), made.origin)
    raise OutsideTable(f"{made.origin.title} has no point for {charge:.0%}; it goes from {made.origin.range}")


def acceptance_knots(chemistry: str) -> tuple[float, ...]:
    """The shares of charge (0 to 1) between which :func:`charge_acceptance` is straight, in rising order."""
    return tuple(
        percent / 100 for percent, _ in table(FILE, f"{chemistry.replace('-', '_')}_acceptance").points()
    )
