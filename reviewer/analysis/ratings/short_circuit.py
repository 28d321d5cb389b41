"""Withstand of a wire in a short circuit and let-through of its protection: the adiabatic equation
of IEC 60949, and opening times of fuses."""

from __future__ import annotations

import math

from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.tables.faults import copper_constants, longest_opening
from reviewer.tables.lookup import Origin, SourcedFigure
from reviewer.tables.wire_tables import conductor_area_mm2

#: the adiabatic equation holds for faults that last this long at most, seconds
LONGEST_FAULT_S = 5.0


@record
class Withstand:
    """Withstand of a conductor: ``i2t_a2s`` between the two temperatures, with k in A s^0.5 /
    mm2."""

    i2t_a2s: float
    k: float
    area_mm2: float
    start_c: float
    end_c: float
    rests_on: tuple[Origin, ...]

    def seconds(self, amperes: float) -> float:
        """Seconds for which it withstands a steady current."""
        return math.inf if amperes == 0 else self.i2t_a2s / amperes**2


@record
class LetThrough:
    """Largest let-through of a fuse: ``i2t_a2s``, from the longest opening ``seconds`` at
    ``multiple`` times its rating."""

    i2t_a2s: float
    seconds: float
    multiple: float
    figure: SourcedFigure


def adiabatic_k(start_c: float, end_c: float) -> float:
    """k of copper in A s^0.5 / mm2: K sqrt(ln((beta + end) / (beta + start))). Raises ValueError
    unless end > start > -beta."""
    constant, beta = (figure.value for figure in copper_constants())
    if not end_c > start_c > -beta:
        raise ValueError(f"a conductor cannot warm from {start_c:g} C to {end_c:g} C")
    return constant * math.sqrt(math.log((beta + end_c) / (beta + start_c)))


def withstand(gauge: Gauge, start_c: float, end_c: float) -> Withstand:
    """(k S)^2 of a wire that may warm from ``start_c`` to ``end_c``.

    For aircraft insulation no final temperature is printed: its own class as ``end_c`` is on the
    low side. Raises OutsideTable.
    """
    k, area = adiabatic_k(start_c, end_c), conductor_area_mm2(gauge)
    return Withstand((k * area) ** 2, k, area, start_c, end_c, (copper_constants()[0].origin,))


def let_through(construction: str | None, rating_a: float, fault_a: float) -> LetThrough:
    """The most that a fuse of a known construction (``"blade"``, ``"large_blade"``,
    ``"cartridge"``) lets through at ``fault_a``.

    The longest time is printed for a few multiples of the rating; the largest multiple that the
    fault reaches is read. What a fuse lets through does not rise with the current (common knowledge
    of fuses, no source), so that i2t there bounds it. Raises OutsideTable for a breaker, a limiter
    or a fuse of unknown construction: no figure can be named, and it is not assessed.
    """
    figure, multiple = longest_opening(construction, fault_a / rating_a)
    return LetThrough((multiple * rating_a) ** 2 * figure.value, figure.value, multiple, figure)
