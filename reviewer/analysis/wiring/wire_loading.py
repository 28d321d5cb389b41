"""What each wire carries, against what it may carry where it runs: in a bundle of so many wires of
which so much is used, in the air of its zone.

Limits are those of Table 11-9 of AC 43.13-1B scaled to bundle and ambient (``ampacity``), one basis
for all wires. A bundle's share in use is the sum of the currents of its wires over the
sum of what each could carry by itself in the same air.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.ratings.ampacity import (
    PRINTED_ALTITUDE_FT,
    PRINTED_LOADED,
    Ampacity,
    Installation,
    wire_table_ampacity,
)
from reviewer.analysis.ratings.wire_sizes import least_size
from reviewer.analysis.wiring.ambient import Ambient, ambient_of, zone_missing
from reviewer.model.design import Design
from reviewer.model.quantities import FOOT_M, Gauge
from reviewer.model.record import record
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.wire_tables import PRINTED_CLASSES_C

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: less than this is leakage, no current that a wire is chosen for; a choice of ours
LEAST_A = 1e-3
#: shares of a bundle's capacity for which factors are printed
_COLUMNS = (0.2, 0.4, 0.6, 0.8, 1.0)


@record
class Allowed:
    """What a wire may carry: ``ampacity`` in ``around`` (the share in use as the column that is
    read), its ``bundle`` ("" where it runs alone) and the ``ambient`` taken."""

    ampacity: Ampacity
    around: Installation
    bundle: str
    ambient: Ambient


@record
class WireLoad:
    """The flown state in which a wire is loaded worst: ``amperes`` from its from to its to end, and
    the share of its bundle that is used then."""

    wire: str
    flown: Flown
    amperes: float
    bundle_used: float


class WireLoads:
    """Wires of a design in the flown states in which the engine does not crank. ``points`` are
    solved; a wire that cannot be reported raises when asked."""

    def __init__(self, design: Design, points: Sequence[tuple[Flown, OperatingPoint]]):
        self.design, self.points = design, points
        self._capacity: dict[str, float] = {}
        #: by bundle, and by identity of the point: to look one up by what is flown takes longer
        self._used: dict[tuple[str, int], float] = {}
        self._ampacity: dict[tuple[Gauge, float, float, int, float, float], Ampacity] = {}

    def largest(self, wire: str) -> float:
        """The largest current of a wire, in A, either way."""
        return max((abs(point.amps[f"wires/{wire}"]) for _, point in self.points), default=0.0)

    def carrying(self) -> tuple[str, ...]:
        """Names of the wires that carry current in any of the states."""
        return tuple(name for name in self.design.wires if not self.largest(name) <= LEAST_A)

    def allowed(self, wire: str, used: float) -> Allowed:
        """What a wire may carry while the share ``used`` of its bundle is used. Raises
        NotAssessable."""
        spec = self.design.wires[wire]
        ambient = ambient_of(self.design, wire)
        if spec.copper_gauge is None or spec.insulation is None:
            raise NotAssessable(
                f"`gauge` of {wire}"
                if spec.copper_gauge is None
                else "`insulation` in `aircraft.wire`, or of each wire"
            )
        if ambient is None:
            raise NotAssessable(zone_missing(self.design, wire))
        count = len(self.design.bundles[spec.bundle]) if spec.bundle else 1
        column = _column(used) if count > 1 else PRINTED_LOADED
        around = Installation(ambient.celsius, count, column, self._altitude_ft)
        try:
            ampacity = self._of_table(spec.copper_gauge, spec.insulation, around)
        except OutsideTable as outside:
            raise NotAssessable(f"what {wire} may carry: {outside}") from None
        return Allowed(ampacity, around, spec.bundle or "", ambient)

    def _of_table(self, gauge: Gauge, insulation: float, around: Installation) -> Ampacity:
        """:func:`wire_table_ampacity`, worked out once for wires of one size in the same place."""
        key = gauge, insulation, around.ambient_c, around.wires, around.loaded, around.altitude_ft
        if key not in self._ampacity:
            self._ampacity[key] = wire_table_ampacity(gauge, insulation, around)
        return self._ampacity[key]

    @property
    def _altitude_ft(self) -> float:
        ceiling = self.design.aircraft.max_altitude
        return PRINTED_ALTITUDE_FT if ceiling is None else ceiling / FOOT_M

    def used(self, bundle: str, point: OperatingPoint) -> float:
        """The share of a bundle's capacity that is used; a wire that lacks what its capacity needs
        counts for none, which is on the safe side."""
        if bundle not in self._capacity:
            self._capacity[bundle] = sum(self._alone(wire) for wire in self.design.bundles[bundle])
        key = bundle, id(point)
        if key not in self._used:
            amps = sum(abs(point.amps[f"wires/{wire}"]) for wire in self.design.bundles[bundle])
            self._used[key] = amps / self._capacity[bundle] if self._capacity[bundle] else 1.0
        return self._used[key]

    def alone(self, wire: str) -> float:
        """What a wire may carry in no bundle, in A; 0 where that is not known."""
        return self._alone(wire, self._altitude_ft)

    def _alone(self, wire: str, altitude_ft: float = 0.0) -> float:
        spec, ambient = self.design.wires[wire], ambient_of(self.design, wire)
        if spec.copper_gauge is None or spec.insulation is None or ambient is None:
            return 0.0
        try:
            around = Installation(ambient.celsius, 1, PRINTED_LOADED, altitude_ft)
            return self._of_table(spec.copper_gauge, spec.insulation, around).amperes
        except OutsideTable:
            return 0.0

    def insulation_for(self, wire: str) -> float | None:
        """The lowest printed temperature class of insulation above that of a wire, in degC, with which it
        carries what it does where it is; None where none does."""
        spec, loads = self.design.wires[wire], [self._load(wire, *one) for one in self.points]
        around = {load.bundle_used: self.allowed(wire, load.bundle_used).around for load in loads}
        size, own = spec.copper_gauge, spec.insulation
        if size is None or own is None:
            return None
        for printed in (c for c in PRINTED_CLASSES_C if c > own):
            with suppress(OutsideTable):
                if all(
                    abs(load.amperes) <= wire_table_ampacity(size, printed, around[load.bundle_used]).amperes
                    for load in loads
                ):
                    return printed
        return None

    def heaviest(self, wire: str) -> WireLoad | None:
        """Where a wire carries most; None where no state is solved or its current is left open."""
        loads = [self._load(wire, flown, point) for flown, point in self.points]
        known = [load for load in loads if load.amperes == load.amperes]
        return max(known, key=lambda load: abs(load.amperes)) if loads and len(known) == len(loads) else None

    def _load(self, wire: str, flown: Flown, point: OperatingPoint) -> WireLoad:
        bundle = self.design.wires[wire].bundle
        return WireLoad(wire, flown, point.amps[f"wires/{wire}"], self.used(bundle, point) if bundle else 0.0)

    def worst(self, wire: str) -> tuple[WireLoad, Allowed]:
        """Where a wire comes nearest to what it may carry, or exceeds it most. Raises
        NotAssessable."""
        heaviest: dict[float, tuple[float, Flown, OperatingPoint]] = {}
        bundle, element = self.design.wires[wire].bundle, f"wires/{wire}"
        for flown, point in self.points:
            amperes = abs(point.amps[element])
            if amperes != amperes:
                raise NotAssessable(f"{_first(point.unsized)}: without it the current of {wire} is not known")
            column = _column(self.used(bundle, point)) if bundle else _COLUMNS[0]
            if column not in heaviest or amperes > heaviest[column][0]:
                heaviest[column] = amperes, flown, point
        worst = [self._load(wire, flown, point) for _, flown, point in heaviest.values()]
        loads = [(load, self.allowed(wire, load.bundle_used)) for load in worst]
        return max(loads, key=lambda pair: abs(pair[0].amperes) / pair[1].ampacity.amperes)

    def larger(self, wire: str) -> str:
        """The least size larger than that of a wire that carries what it carries where it is installed, in
        words; "a larger wire" where none is known. Raises NotAssessable."""
        loads = [self._load(wire, flown, point) for flown, point in self.points]
        insulation = self.design.wires[wire].insulation
        allowed = {load.bundle_used: self.allowed(wire, load.bundle_used).around for load in loads}
        assert insulation is not None

        def serves(size: Gauge) -> bool:
            return all(
                abs(load.amperes) <= wire_table_ampacity(size, insulation, allowed[load.bundle_used]).amperes
                for load in loads
            )

        size = least_size(self.design.wires[wire], serves)
        return f"{size} or larger for {wire}" if size else "a larger wire"


def _column(used: float) -> float:
    """The share for which factors are printed that serves where so much of a bundle's capacity is used."""
    return next((share for share in _COLUMNS if used <= share + 1e-9), 1.0)


def _first(unsized: Mapping[str, str]) -> str:
    element, key = next(iter(unsized.items()))
    return f"{key} of {element.partition('/')[2]}"
