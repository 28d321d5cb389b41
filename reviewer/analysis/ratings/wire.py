"""Resistance and temperature of a wire: AC 43.13-1B Table 11-9 and 11-66d."""

from __future__ import annotations

from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.tables.lookup import Figure, Origin
from reviewer.tables.wire_tables import resistance_per_metre, temperature_exponent

#: 11-66d(4): the resistance of copper goes with 234.5 + T; the tables print it at 20 C
COPPER_C = 234.5
TABLE_C = 20.0


@record
class WireResistance:
    """Resistance of one wire: ``ohms`` at ``celsius``; ``figure`` is the printed ohm per metre at 20 C."""

    ohms: float
    celsius: float
    figure: Figure


@record
class ConductorTemperature:
    """Estimated temperature of a conductor, and where the estimate comes from."""

    celsius: float
    origin: Origin


def temperature_factor(celsius: float) -> float:
    """Resistance of copper at a temperature over that at 20 C, (234.5 + T) / 254.5. Raises ValueError at and below -234.5 C."""
    if celsius <= -COPPER_C:
        raise ValueError(f"{celsius:g} C is outside the range of the copper formula")
    return (COPPER_C + celsius) / (COPPER_C + TABLE_C)


def wire_resistance(gauge: Gauge, length_m: float, celsius: float = TABLE_C) -> WireResistance:
    """Largest resistance of a copper wire of ``length_m`` metres whose conductor is at ``celsius``. Raises OutsideTable."""
    figure = resistance_per_metre(gauge)
    return WireResistance(figure.value * length_m * temperature_factor(celsius), celsius, figure)


def longest_run(length_m: float, celsius: float) -> float:
    """Run L2 allowed with the conductor at ``celsius``, where ``length_m`` (L1) is allowed at 20 C: 254.5 L1 / (234.5 + T2), 11-66d(4)."""
    return length_m / temperature_factor(celsius)


def conductor_temperature(
    ambient_c: float, rated_c: float, amperes: float, limit_a: float
) -> ConductorTemperature:
    """Estimate of a conductor's temperature: T1 + (TR - T1) sqrt(I2 / Imax), 11-66d(6).

    ``ambient_c`` T1; ``rated_c`` TR, that of the insulation; ``amperes`` I2; ``limit_a`` Imax, the current that brings the conductor to TR.
    The form of the equation is from memory. Raises ValueError above Imax, where it is no estimate.
    """
    if not (0 <= amperes <= limit_a and limit_a > 0):
        raise ValueError(f"{amperes:g} A is outside 0 to {limit_a:g} A, where the estimate holds")
    root = temperature_exponent()
    return ConductorTemperature(
        ambient_c + (rated_c - ambient_c) * (amperes / limit_a) ** root.value, root.origin
    )
