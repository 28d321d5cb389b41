"""The worst moment of a start: the starter takes its peak current from batteries whose resistance
is that of cold or aged ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class Cranked:
    """The operating point of a state of cranking while its ``starters`` take their peak;
    ``seconds`` is how long the phase lasts, None where not said."""

    flown: Flown
    starters: tuple[str, ...]
    point: OperatingPoint
    seconds: float | None


def ageing() -> float:
    """Factor on the resistance of a new, warm battery for a cold or aged one: the low end of the
    range of the trade, which has no source."""
    return practice("factors", "battery-resistance-cold-or-aged").low


def starters(design: Design) -> tuple[str, ...]:
    """Names of the loads that are starters."""
    return tuple(n for n in design.of_kind(p.Load) if design.parts[n].type == "starter")


def cranks(state: ResolvedState) -> bool:
    """Whether the engine is cranked in a state."""
    return state.engine == "cranking"
