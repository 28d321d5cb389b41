"""The resistance of cold or aged batteries: the declared one, else by the range of the trade, which
has no source. One definition for the start, for endurance and for peaks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.tables.practice import COMMON_PRACTICE, PracticeRange, practice
from reviewer.tables.typical import battery_ohms


def cold_range() -> PracticeRange:
    """The range of the factor on the resistance of a new, warm battery."""
    return practice("factors", "battery-resistance-cold-or-aged")


def cold_factors(design: Design, practised: float) -> Mapping[str, float]:
    """Battery -> factor on its resistance: to its declared cold resistance, else ``practised``, an
    end of :func:`cold_range`."""
    found = {}
    for name in design.of_kind(p.Battery):
        part = design.part(name, p.Battery)
        warm = part.internal_resistance
        if warm is None and part.chemistry is not None and part.capacity is not None:
            warm = battery_ohms(part.chemistry, part.capacity).value * design.scale_of(name)
        if part.cold_resistance is None or warm is None:
            found[f"parts/{name}"] = practised
        else:
            found[f"parts/{name}"] = part.cold_resistance / warm
    return found


def by_practice(design: Design) -> tuple[str, ...]:
    """The batteries (names) that state no cold resistance."""
    return tuple(n for n in design.of_kind(p.Battery) if design.part(n, p.Battery).cold_resistance is None)


def cold_basis(design: Design, practised: float) -> Iterator[tuple[str, str]]:
    """What the resistance of cold or aged batteries rests on, as numbers of a finding."""
    if by_practice(design):
        words = f"times {practised:g} for cold or aged batteries, {COMMON_PRACTICE}"
        yield "resistance of batteries", words
    for name in design.of_kind(p.Battery):
        ohms = design.part(name, p.Battery).cold_resistance
        if ohms is not None:
            yield f"cold resistance of {name}", f"{ohms:g} ohm"
