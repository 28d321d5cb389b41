"""Faults: constants of the adiabatic equation (IEC 60949), final temperatures (IEC 60364-5-54),
opening times of fuses."""

from __future__ import annotations

import math

from reviewer.tables.lookup import OutsideTable, SourcedFigure, table

#: constructions of fuses whose opening times can be named
FUSE_CONSTRUCTIONS = ("blade", "large_blade", "cartridge")


def copper_constants() -> tuple[SourcedFigure, SourcedFigure]:
    """K in A s^0.5 / mm2 and beta in C of copper, IEC 60949."""
    adiabatic = table("short_circuit", "adiabatic")
    return adiabatic.at("copper", "K"), adiabatic.at("copper", "beta")


def final_temperature(insulation: str) -> SourcedFigure:
    """Temperature in C that an insulation (``"pvc"``, ``"butyl-rubber"``, ``"xlpe-or-epr"``) bears
    at the end of a short circuit.

    Raises :class:`OutsideTable` for any other: aircraft insulation is not printed.
    """
    return table("short_circuit", "final_temperature").at(insulation)


def largest_timed_rating(construction: str) -> float:
    """The largest rating in A for which the opening times of a construction hold; infinite where
    none is named."""
    named = table("opening_times", "cartridge_rating")
    return named.at("most").value if construction == "cartridge" else math.inf


def longest_opening(construction: str | None, multiple: float) -> tuple[SourcedFigure, float]:
    """Longest time in seconds that a fuse may take to open at ``multiple`` times its rating, and
    the printed multiple that was read: the largest that is no larger. Raises :class:`OutsideTable`
    for a breaker, a limiter, an unknown construction and a smaller multiple."""
    if construction not in FUSE_CONSTRUCTIONS:
        raise OutsideTable(
            "no opening times are published for this device; "
            "known are those of blade, large blade and cartridge fuses"
        )
    times = table("opening_times", construction)
    fitting = [row for row in times.rows if float(row) <= multiple * 1.0000001]
    if not fitting:
        raise OutsideTable(
            f"{times.origin.title} prints no longest opening time at {multiple:.2f} times the rating; "
            f"it goes from {times.origin.range}"
        )
    row = max(fitting, key=float)
    return times.at(row), float(row)
