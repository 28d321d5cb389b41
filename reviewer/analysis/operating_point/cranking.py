"""The worst moment of a start: the starter stands, or cranks where that takes more, and batteries
have the resistance of cold or aged ones."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.tables.practice import practice
from reviewer.tables.typical import battery_ohms

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class Cranked:
    """The operating point of a state of cranking while its ``starters`` take the most;
    ``seconds`` is how long the phase lasts, None where not said."""

    flown: Flown
    starters: tuple[str, ...]
    point: OperatingPoint
    seconds: float | None


def ageing() -> float:
    """Factor on the resistance of a new, warm battery for a cold or aged one: the low end of the
    range of the trade, which has no source."""
    return practice("factors", "battery-resistance-cold-or-aged").low


def cold_factors(design: Design) -> Mapping[str, float]:
    """Battery -> factor on its resistance at a cold start: to its declared cold resistance, else
    :func:`ageing`."""
    found = {}
    for name in design.of_kind(p.Battery):
        part = design.part(name, p.Battery)
        warm = part.internal_resistance
        if warm is None and part.chemistry is not None and part.capacity is not None:
            warm = battery_ohms(part.chemistry, part.capacity).value * design.scale_of(name)
        if part.cold_resistance is None or warm is None:
            found[f"parts/{name}"] = ageing()
        else:
            found[f"parts/{name}"] = part.cold_resistance / warm
    return found


def cold_basis(design: Design) -> Iterator[tuple[str, str]]:
    """What the resistance of batteries at a cold start rests on, as numbers of a finding."""
    own = {n: design.part(n, p.Battery).cold_resistance for n in design.of_kind(p.Battery)}
    if None in own.values():
        words = f"times {ageing():g}, common practice for cold or aged batteries"
        yield "resistance of batteries", words
    for name, ohms in own.items():
        if ohms is not None:
            yield f"cold resistance of {name}", f"{ohms:g} ohm"


def starters(design: Design) -> tuple[str, ...]:
    """Names of the loads that are starters."""
    return tuple(n for n in design.of_kind(p.Load) if design.parts[n].type == "starter")


def cranks(state: ResolvedState) -> bool:
    """Whether the engine is cranked in a state."""
    return state.engine == "cranking"
