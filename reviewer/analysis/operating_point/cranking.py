"""The worst moment of a start: the starter stands, or cranks where that takes more, and batteries
have the resistance of cold or aged ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class Cranked:
    """The operating point of a state of cranking while its ``starters`` take the most;
    ``seconds`` is how long the phase lasts, None where not said, ``practised`` the factor on the
    resistance of batteries without a declared cold one."""

    flown: Flown
    starters: tuple[str, ...]
    point: OperatingPoint
    seconds: float | None
    practised: float


def cranks(state: ResolvedState) -> bool:
    """Whether the engine is cranked in a state."""
    return state.engine == "cranking"


def bridges(part: p.Consumer, seconds: float | None) -> bool:
    """Whether a unit works on without supply while the engine cranks, for ``seconds``; where the file
    does not say how long, a battery inside it lasts as long as a start button is held."""
    if seconds:
        return part.bridging >= seconds
    return (part.internal_battery or 0.0) >= practice("seconds", "starter-stands").high
