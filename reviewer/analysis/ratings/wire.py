"""Resistance of a wire: AC 43.13-1B Table 11-9 or IEC 60228, at the temperature of its
conductor."""

from __future__ import annotations

from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.tables.lookup import SourcedFigure
from reviewer.tables.wire_tables import TABLE_C, resistance_per_metre, temperature_factor


@record
class WireResistance:
    """Resistance of one wire: ``ohms`` at ``celsius``; ``figure`` is the printed ohm per metre at
    20 C."""

    ohms: float
    celsius: float
    figure: SourcedFigure


def wire_resistance(gauge: Gauge, length_m: float, celsius: float = TABLE_C) -> WireResistance:
    """Largest resistance of a copper wire of ``length_m`` metres whose conductor is at ``celsius``.

    Raises OutsideTable, and ValueError as :func:`temperature_factor` does.
    """
    figure = resistance_per_metre(gauge)
    return WireResistance(figure.value * length_m * temperature_factor(celsius), celsius, figure)
