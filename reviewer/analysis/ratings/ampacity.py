"""What a wire may carry, on one stated basis.

Tables 11-3 and 11-9 of AC 43.13-1B rest on different bases and differ at every size: a run of the reviewer uses one of them and says which.
"""

from __future__ import annotations

import math
from enum import Enum

from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.tables.lookup import Figure, Origin, OutsideTable, protector_limit, table
from reviewer.tables.wire_tables import (
    altitude_factor,
    ambient_factor,
    bundle_factor,
    is_large,
    printed_amperes,
)

#: basis of Table 11-9: ambient in C, altitude in feet, share of the bundle's capacity
PRINTED_AMBIENT_C = 70.0
PRINTED_ALTITUDE_FT = 60_000.0
PRINTED_LOADED = 0.2
#: wires in a bundle of the basis of Table 11-9. For 24 to 10 AWG it is 33 and more; the bundle figure is known to 19 wires, whose factor is
#: larger, so that what is worked out from it is smaller
PRINTED_WIRES_SMALL = 19
PRINTED_WIRES_LARGE = 9


class Basis(Enum):
    """What a limit on a wire's current rests on."""

    TABLE_11_3 = "AC 43.13-1B Table 11-3, the wire's largest protector"
    TABLE_11_9 = (
        "AC 43.13-1B Table 11-9 as printed, lowered where the surroundings are harsher than its basis"
    )
    TABLE_11_9_SCALED = "AC 43.13-1B Table 11-9, scaled by bundle factor and ambient temperature from its basis to the surroundings"
    FREE_AIR = "a free-air rating, times the bundle and altitude factors of AC 43.13-1B"


@record
class Surroundings:
    """Where a wire runs: air in C, wires in its bundle with itself, share (0 to 1) of the bundle's capacity that is used, altitude in feet."""

    ambient_c: float
    wires: int
    loaded: float
    altitude_ft: float


@record
class Ampacity:
    """``amperes`` on ``basis``; ``start`` is the printed value, ``factors`` what it was multiplied with, by name."""

    amperes: float
    basis: Basis
    start: Figure | None
    factors: tuple[tuple[str, float], ...]
    rests_on: tuple[Origin, ...]


def protected_ampacity(gauge: Gauge, column: str) -> Ampacity:
    """Continuous current on the basis of Table 11-3, ``column`` ``"breaker"`` or ``"fuse"``. Raises OutsideTable."""
    limit = protector_limit(gauge, column)
    origin = table("wire_protection", column).origin
    return Ampacity(limit, Basis.TABLE_11_3, Figure(limit, origin), (), (origin,))


def wire_table_ampacity(
    gauge: Gauge, insulation_c: float, around: Surroundings, scaled: bool = False
) -> Ampacity:
    """Continuous current on the basis of Table 11-9.

    The printed value holds for 70 C, a bundle of 33 or more wires (9 for 8 AWG and larger) at 20 % of its capacity, and 60 000 ft. It is
    multiplied with the bundle factor of ``around`` over that of the basis, and with the root law of NFPA 70 310.15(B) for ambient temperature,
    sqrt((TR - Ta) / (TR - 70)); where ``scaled`` is False these only lower it. The altitude of the basis is kept, which is on the low side.
    Raises OutsideTable where the tables do not reach: a bundle of more than 19 wires that is loaded above the basis, an ambient at the
    insulation's class, more than 60 000 ft.
    """
    figure, class_c = printed_amperes(gauge, insulation_c)
    bundle, origins = _bundle_over_basis(is_large(gauge), around)
    ambient = ambient_factor(class_c, around.ambient_c, PRINTED_AMBIENT_C)
    factors: tuple[tuple[str, float], ...] = (("bundle", bundle), ("ambient", ambient.value))
    if around.altitude_ft > PRINTED_ALTITUDE_FT:
        raise OutsideTable(
            f"{figure.origin.title} is printed for {PRINTED_ALTITUDE_FT:g} ft at most, not for {around.altitude_ft:g} ft"
        )
    if not scaled:
        factors = tuple((name, min(1.0, value)) for name, value in factors)
    basis = Basis.TABLE_11_9_SCALED if scaled else Basis.TABLE_11_9
    return Ampacity(
        figure.value * math.prod(v for _, v in factors),
        basis,
        figure,
        factors,
        (figure.origin, *origins, ambient.origin),
    )


def derated(free_air_a: float, wires: int, loaded: float, altitude_ft: float) -> Ampacity:
    """A wire's free-air current, read from its maker's sheet or the figure for its temperature difference, times altitude and bundle factors:
    the way of 11-67e and f. Raises OutsideTable."""
    altitude, bundle = altitude_factor(altitude_ft), bundle_factor(wires, loaded)
    factors = (("altitude", altitude.value), ("bundle", bundle.value))
    return Ampacity(
        free_air_a * altitude.value * bundle.value,
        Basis.FREE_AIR,
        None,
        factors,
        (altitude.origin, bundle.origin),
    )


def _bundle_over_basis(large: bool, around: Surroundings) -> tuple[float, tuple[Origin, ...]]:
    if not large and around.wires > PRINTED_WIRES_SMALL and 0 <= around.loaded <= PRINTED_LOADED:
        return 1.0, ()
    actual = bundle_factor(around.wires, around.loaded)
    basis = bundle_factor(PRINTED_WIRES_LARGE if large else PRINTED_WIRES_SMALL, PRINTED_LOADED)
    return actual.value / basis.value, (actual.origin,)
