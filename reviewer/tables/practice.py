"""Ranges of the trade that have no source: places to begin where a file says nothing, never limits
of a standard."""

from __future__ import annotations

from functools import cache

from reviewer.model.record import record
from reviewer.tables.lookup import Origin, table

#: what a figure rests on that the trade uses and no source prints
COMMON_PRACTICE = "common practice (no published source)"


def in_brackets(origin: object) -> str:
    """What a figure rests on as it stands in brackets: ``(common practice, no published source)``."""
    words = str(origin).replace(" (", ", ").replace(")", "")
    return f"({words})"


@record
class PracticeRange:
    """``low`` to ``high`` in the unit of ``origin``; both alike where the trade gives one value."""

    name: str
    low: float
    high: float
    origin: Origin


@cache
def practice(kind: str, name: str) -> PracticeRange:
    """A range of common_practice.toml: ``kind`` a section (``"volts"``, ``"amperes"``, ``"ohms"``,
    ``"factors"``, ``"minutes"``, ``"days"``, ``"pins"``, ``"counts"``), ``name`` one of its rows.
    Raises KeyError for a kind and :class:`OutsideTable` for a name that is not there."""
    ranges = table("common_practice", kind)
    return PracticeRange(name, ranges.at(name, "low").value, ranges.at(name, "high").value, ranges.origin)


def longest_brief() -> float:
    """Seconds for which a load may be on that is not continuous, by common practice."""
    return 60.0 * practice("minutes", "continuous-load").high
