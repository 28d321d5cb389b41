"""Loads that the outputs of a unit drive: coils and injectors, which the unit pulses."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer


def on_without(answers: Iterable[StateAnswer], load: str, unit: str) -> str | None:
    """The first state in which a load keeps its power while a unit, which opens with all its
    outputs, is gone; both are pointers. None where the unit drives it in every state."""
    gone = Failure(unit, OPEN)
    for answer in answers:
        if not answer.healthy.powered[load] or gone not in answer.failures:
            continue
        if answer.failed.powered[load] >> answer.failures.index(gone) & 1:
            return answer.state.name
    return None
