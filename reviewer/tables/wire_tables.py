"""Wires: AC 43.13-1B Table 11-9 for AWG sizes, IEC 60228 for metric sizes, and what a bundle takes
off."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache, lru_cache

from reviewer.model.quantities import FOOT_M, INCH_M, Gauge, awg_area_mm2
from reviewer.tables.lookup import OutsideTable, PrintedTable, SourcedFigure, table
from reviewer.tables.typical import typical

#: one circular mil, the area of a circle of 0.001 in, in mm2
CMIL_MM2 = math.pi / 4 * (0.001 * INCH_M * 1000) ** 2
#: 11-66d(4): the resistance of copper goes with 234.5 + T; the tables print it at 20 C
COPPER_C = 234.5
TABLE_C = 20.0
#: from this size up the basis of Table 11-9 is a bundle of 9 wires, below it one of 33 and more
LARGE_AWG = "8"


def awg_number(awg: str) -> int:
    """``"18"`` -> 18, ``"0"`` -> 0, ``"00"`` -> -1."""
    return 1 - len(awg) if set(awg) == {"0"} else int(awg)


@cache
def printed_size(gauge: Gauge) -> str:
    """The AWG size in which Table 11-9 is read: the wire's own, or the largest printed size that is
    no larger.

    A metric size is compared by the printed (stranded) areas. Raises :class:`OutsideTable` for a
    wire thinner than 24 AWG or an AWG size larger than 0000.
    """
    sizes = _aircraft().rows
    if gauge.awg is not None:
        fitting = (
            [s for s in sizes if awg_number(s) >= awg_number(gauge.awg)]
            if awg_number(gauge.awg) >= -3
            else []
        )
    else:
        fitting = [s for s in sizes if sizes[s][-1] * CMIL_MM2 <= gauge.area_mm2]
    if not fitting:
        raise OutsideTable(
            f"AC 43.13-1B Table 11-9 has no row for {gauge}; it goes from {_aircraft().origin.range}"
        )
    return min(fitting, key=awg_number)


def is_large(gauge: Gauge) -> bool:
    """Whether Table 11-9 rates the wire for a bundle of 9 wires (8 AWG and larger) and not of 33
    and more."""
    return awg_number(printed_size(gauge)) <= awg_number(LARGE_AWG)


#: the classes of insulation, in degC, for which Table 11-9 prints a column
PRINTED_CLASSES_C = (105.0, 150.0, 200.0)


def printed_amperes(gauge: Gauge, insulation_c: float) -> tuple[SourcedFigure, float]:
    """Amperes of Table 11-9, and the temperature class in degC whose column was read: the highest
    that the insulation reaches.

    Raises :class:`OutsideTable` for insulation below 105 C and for sizes that are not printed.
    """
    classes = [c for c in PRINTED_CLASSES_C if c <= insulation_c]
    if not classes:
        raise OutsideTable(
            f"AC 43.13-1B Table 11-9 has no column for {insulation_c:g} C insulation; "
            "it goes from 105 C to 200 C"
        )
    return _figure(gauge, f"{classes[-1]:g} C"), classes[-1]


def resistance_per_metre(gauge: Gauge) -> SourcedFigure:
    """Largest resistance at 20 C in ohm per metre: Table 11-9 for AWG sizes, IEC 60228 class 5 for
    metric sizes.

    A metric size between two printed ones is read as the thinner. Raises :class:`OutsideTable`.
    """
    if gauge.awg is not None:
        figure = _figure(gauge, "ohm per 1000 ft")
        return SourcedFigure(figure.value / (1000 * FOOT_M), figure.origin, figure.read_as)
    metric = table("copper_wire", "metric")
    fitting = [row for row in metric.rows if float(row) <= gauge.area_mm2 * 1.0000001]
    if not fitting or gauge.area_mm2 > 120:
        raise OutsideTable(
            f"{metric.origin.title} has no row for {gauge} here; it goes from {metric.origin.range}"
        )
    row = max(fitting, key=float)
    return SourcedFigure(
        metric.at(row).value / 1000,
        metric.origin,
        None if math.isclose(float(row), gauge.area_mm2) else f"{row} mm2",
    )


def larger_sizes(gauge: Gauge) -> Iterator[Gauge]:
    """The printed sizes that are larger than a wire, the next one first: of an AWG size those of Table
    11-9, of a metric one those of IEC 60228."""
    if gauge.awg is not None:
        sizes = [Gauge(awg, awg_area_mm2(awg)) for awg in _aircraft().rows]
    else:
        sizes = [Gauge(None, float(row)) for row in table("copper_wire", "metric").rows]
    larger = (size for size in sizes if size.area_mm2 > gauge.area_mm2 * 1.0000001)
    yield from sorted(larger, key=lambda size: size.area_mm2)


def contact_most(gauge: Gauge) -> SourcedFigure:
    """The most current of a crimped contact with a wire, A; a size between two printed ones is read
    as the thicker. Raises :class:`OutsideTable`."""
    printed = table("contacts", "by_wire")
    fitting = [awg for awg in printed.rows if awg_area_mm2(awg) >= gauge.area_mm2 * 0.999]
    if not fitting:
        raise OutsideTable(f"{printed.origin.title}: no row for {gauge}; range {printed.origin.range}")
    awg = min(fitting, key=awg_area_mm2)
    return printed.at(awg, None, None if awg == gauge.awg else f"{awg} AWG")


def temperature_factor(celsius: float) -> float:
    """Resistance of copper at a temperature over that at 20 C, (234.5 + T) / 254.5. That of
    aluminium, (238.1 + T) / 258.1 (11-66d(4)), differs from it by less than 1 % up to 200 C.

    Raises ValueError at and below -234.5 C.
    """
    if celsius <= -COPPER_C:
        raise ValueError(f"{celsius:g} C is outside the range of the copper formula")
    return (COPPER_C + celsius) / (COPPER_C + TABLE_C)


def conductor_area_mm2(gauge: Gauge) -> float:
    """Copper of the wire in mm2: the printed stranded area for AWG sizes, the nominal one for
    metric sizes. Raises :class:`OutsideTable`."""
    return gauge.area_mm2 if gauge.awg is None else _figure(gauge, "cmil").value * CMIL_MM2


def conductor_mass(gauge: Gauge, conductor: str) -> SourcedFigure:
    """Kilograms of a metre of a ``"copper"`` or ``"aluminium"`` conductor without its insulation: its
    area, of a size that is not printed that of a solid conductor, times the density."""
    aluminium = conductor == "aluminium"
    density = typical("density", "aluminium") if aluminium else typical("density", "copper")
    try:
        area = conductor_area_mm2(gauge)
    except OutsideTable:
        area = gauge.area_mm2
    return SourcedFigure(area * density.value / 1000, density.origin)


@lru_cache(maxsize=1024)
def bundle_factor(wires: int, loaded: float) -> SourcedFigure:
    """Factor on the free-air current in a bundle of ``wires`` (1 to 19) that uses the share
    ``loaded`` (0 to 1) of its capacity.

    A share between two printed columns is read in the column above, one below 20 % in that of 20 %.
    Raises :class:`OutsideTable`.
    """
    bundles = table("wire_derating", "bundle")
    column = next((c for c in bundles.columns if loaded <= float(c) / 100 + 1e-9), "100")
    if loaded < 0 or loaded > 1:
        raise OutsideTable(
            f"{bundles.origin.title} has no column for {loaded:.0%}; it has {bundles.origin.range}"
        )
    return bundles.at(str(wires), column)


def ambient_factor(class_c: float, ambient_c: float, printed_c: float) -> SourcedFigure:
    """Factor on a current printed for ``printed_c`` ambient in air of ``ambient_c``: ((TR - Ta) /
    (TR - T)) to the power 0.5, NFPA 70 310.15(B).

    ``class_c`` is the temperature class of the insulation. Raises :class:`OutsideTable` for air as
    hot as the class.
    """
    root = table("wire_derating", "ambient").at("root")
    if ambient_c >= class_c:
        raise OutsideTable(
            f"in air of {ambient_c:g} C nothing is left for the current of a wire of the {class_c:g} C class"
        )
    return SourcedFigure(((class_c - ambient_c) / (class_c - printed_c)) ** root.value, root.origin)


def _aircraft() -> PrintedTable:
    return table("copper_wire", "aircraft")


def _figure(gauge: Gauge, column: str) -> SourcedFigure:
    size = printed_size(gauge)
    return _aircraft().at(size, column, None if size == gauge.awg else f"{size} AWG")


def ampacity_basis() -> str:
    """The basis on which continuous currents of wires are judged, in one sentence, for reports."""
    basis = _aircraft().origin.basis
    return (
        f"The continuous current of a wire is judged by AC 43.13-1B Table 11-9 ({basis}), "
        "scaled to its bundle and ambient."
    )
