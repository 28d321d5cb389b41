"""The let-through of a fuse in a short circuit, against what the wire withstands."""

from __future__ import annotations

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.fault_loops import Fault
from reviewer.analysis.ratings.short_circuit import (
    LONGEST_FAULT_S,
    LetThrough,
    Withstand,
    let_through,
    withstand,
)
from reviewer.analysis.ratings.wire_sizes import least_size
from reviewer.analysis.wiring.ambient import ambient_of, zone_missing
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantities import Gauge
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.tables.faults import final_temperature, largest_timed_rating
from reviewer.tables.lookup import OutsideTable


@record
class FaultHeating:
    """The let-through of a fuse against the ``withstand`` of a wire.

    ``through`` is None where the short is below the currents for which opening times are printed;
    ``beyond`` where the printed time is longer than the adiabatic equation holds for.
    """

    through: LetThrough | None
    withstand: Withstand
    beyond: bool


def withstand_of(design: Design, wire: str, *, shorted: bool = True) -> Withstand:
    """What a wire withstands in a short circuit, or in use where it is not ``shorted``.

    From the ambient temperature to the class of its insulation; in a short circuit, to what PVC
    bears at its end. Raises NotAssessable with what is missing.
    """
    spec, ambient = design.wires[wire], ambient_of(design, wire)
    pvc = shorted and spec.insulation_material == "pvc"
    end = final_temperature("pvc").value if pvc else spec.insulation
    missing = [f"`{key}`" for key, value in (("gauge", spec.gauge), ("insulation", end)) if value is None]
    if missing:
        raise NotAssessable(f"{' and '.join(missing)} of {wire}")
    if spec.conductor == "aluminium":
        raise NotAssessable(f"what aluminium withstands, for {wire}: no constants of it are published here")
    if ambient is None:
        raise NotAssessable(zone_missing(design, wire))
    assert spec.gauge is not None and end is not None
    try:
        return withstand(spec.gauge, ambient.celsius, end)
    except (OutsideTable, ValueError) as outside:
        raise NotAssessable(f"what {wire} withstands: {outside}") from None


def size_that_withstands(design: Design, fault: Fault) -> str:
    """The least size larger than that of a shorted wire that withstands what its fuse lets through now; ""
    for none."""
    spec, through = design.wires[fault.wire], let_through_of(design, fault).through

    def serves(size: Gauge) -> bool:
        bears = withstand_of(design.with_gauge(fault.wire, size), fault.wire)
        return through is not None and through.i2t_a2s <= bears.i2t_a2s

    return least_size(spec, serves)


def rating_that_spares(design: Design, fault: Fault) -> float:
    """The largest rating of a fuse in half amperes, A, that like all smaller ones lets no more through in a
    short circuit than the wire withstands; 0 for none, or where its times are not printed."""
    fuse, bears = design.part(fault.protector, p.Fuse), withstand_of(design, fault.wire)
    most = 0.0
    for halves in range(1, int(2 * (fuse.rating or 0.0))):
        try:
            through = let_through((fuse.construction or "").replace("-", "_"), halves / 2, fault.amps)
        except OutsideTable:
            return 0.0
        if through.i2t_a2s > bears.i2t_a2s or through.seconds > LONGEST_FAULT_S:
            break
        most = halves / 2
    return most


def let_through_of(design: Design, fault: Fault) -> FaultHeating:
    """The heat of a short through a fuse. Raises NotAssessable with what is missing."""
    fuse = design.part(fault.protector, p.Fuse)
    if fuse.rating is None or fuse.construction is None:
        raise NotAssessable(f"`{'rating' if fuse.rating is None else 'construction'}` of {fault.protector}")
    if fuse.rating > (most := largest_timed_rating(fuse.construction)):
        raise NotAssessable(
            f"the opening time of {fault.protector} by its manufacturer: times are printed up to "
            f"{quantity(most, 'A')}"
        )
    bears = withstand_of(design, fault.wire)
    try:
        through = let_through(fuse.construction.replace("-", "_"), fuse.rating, fault.amps)
    except OutsideTable:
        return FaultHeating(None, bears, False)
    return FaultHeating(through, bears, through.seconds > LONGEST_FAULT_S)
