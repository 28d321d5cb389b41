"""What a wire may carry continuously: AC 43.13-1B Table 11-9, carried from its basis to where the
wire runs.

Tables 11-3 and 11-9 rest on different bases and differ at every size: Table 11-3 sizes circuit
protection.
"""

from __future__ import annotations

import math

from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.tables.lookup import Origin, OutsideTable, SourcedFigure
from reviewer.tables.wire_tables import ambient_factor, bundle_factor, is_large, printed_amperes

#: basis of Table 11-9: ambient in C, altitude in feet, share of the capacity of the bundle
PRINTED_AMBIENT_C = 70.0
PRINTED_ALTITUDE_FT = 60_000.0
PRINTED_LOADED = 0.2
#: wires in a bundle of the basis of Table 11-9. For 24 to 10 AWG it is 33 and more; the bundle
#: figure is known to 19 wires, whose factor is larger, so that what is worked out from it is
#: smaller
PRINTED_WIRES_SMALL = 19
PRINTED_WIRES_LARGE = 9
BASIS = "AC 43.13-1B Table 11-9, scaled by bundle factor and ambient temperature"


@record
class Installation:
    """Where a wire runs: ambient in C, wires in its bundle with itself, share (0 to 1) of the
    capacity of the bundle that is used, altitude in feet."""

    ambient_c: float
    wires: int
    loaded: float
    altitude_ft: float


@record
class Ampacity:
    """``amperes`` on :data:`BASIS`; ``start`` is the printed value, ``factors`` what it was
    multiplied with."""

    amperes: float
    start: SourcedFigure
    factors: tuple[tuple[str, float], ...]
    rests_on: tuple[Origin, ...]

    @property
    def basis(self) -> str:
        """What the limit rests on, in words."""
        return BASIS


def wire_table_ampacity(gauge: Gauge, insulation_c: float, around: Installation) -> Ampacity:
    """Continuous current of a wire whose insulation is of the class ``insulation_c``, on the basis
    of Table 11-9.

    The printed value holds for 70 C, a bundle of 33 or more wires (9 for 8 AWG and larger) at 20 %
    of its capacity, and 60 000 ft. It is multiplied with the bundle factor of ``around`` over that
    of the basis, and with the root law of NFPA 70 310.15(B) for ambient temperature, sqrt((TR - Ta)
    / (TR - 70)). The altitude of the basis is kept, which is on the low side.

    Raises OutsideTable where the tables do not reach: a bundle of more than 19 wires that is loaded
    above the basis, an ambient at the class of the insulation, more than 60 000 ft.
    """
    figure, class_c = printed_amperes(gauge, insulation_c)
    bundle, origins = _bundle_over_basis(is_large(gauge), around)
    ambient = ambient_factor(class_c, around.ambient_c, PRINTED_AMBIENT_C)
    if around.altitude_ft > PRINTED_ALTITUDE_FT:
        raise OutsideTable(
            f"{figure.origin.title} is printed for {PRINTED_ALTITUDE_FT:g} ft at most, "
            f"not for {around.altitude_ft:g} ft"
        )
    factors = (("bundle", bundle), ("ambient", ambient.value))
    amperes = figure.value * math.prod(v for _, v in factors)
    return Ampacity(amperes, figure, factors, (figure.origin, *origins, ambient.origin))


def _bundle_over_basis(large: bool, around: Installation) -> tuple[float, tuple[Origin, ...]]:
    if not large and around.wires > PRINTED_WIRES_SMALL and 0 <= around.loaded <= PRINTED_LOADED:
        return 1.0, ()
    actual = bundle_factor(around.wires, around.loaded)
    basis = bundle_factor(PRINTED_WIRES_LARGE if large else PRINTED_WIRES_SMALL, PRINTED_LOADED)
    return actual.value / basis.value, (actual.origin,)
