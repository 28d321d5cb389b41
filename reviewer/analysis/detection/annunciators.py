"""Whether the lamp of a heater shows that the heater is off: in each state of normal flight, and after
each failure that takes the heater alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model.record import record


@record
class FalseAnnunciation:
    """A state in which the lamp of a heater is dark while that is off, by a ``failure`` or with nothing
    failed, or burns while it is on (``heated``)."""

    state: str
    failure: Failure | None
    heated: bool


def false_annunciations(
    answers: Sequence[StateAnswer], heater: str, lamp: str
) -> Iterator[FalseAnnunciation]:
    """Those of a heater and its lamp (elements). After a failure a unit commands its outputs as it
    sees fit, so that a lamp that can be lit then is taken to burn."""
    for answer in answers:
        powered = answer.healthy.powered
        if bool(powered[heater]) == bool(powered[lamp]):
            yield FalseAnnunciation(answer.state.name, None, bool(powered[heater]))
        elif powered[heater]:
            yield from _after_failures(answer, heater, lamp)


def _after_failures(answer: StateAnswer, heater: str, lamp: str) -> Iterator[FalseAnnunciation]:
    failed = answer.failed.powered
    own = {heater, lamp, *(unit.element for unit in answer.network.units)}
    others = [e for e, on in answer.healthy.powered.items() if on and e not in own]
    alone = ~failed[heater]
    for element in others:
        alone &= failed[element]
    taken = [f for i, f in enumerate(answer.failures) if f.mode == OPEN and alone >> i & 1]
    every = tuple(output for _, output in answer.network.commanded)
    state = replace(answer.state, outputs_on=every)
    lit = conduct(answer.network, state, taken, answer.healthy).powered[lamp] if taken else 0
    for i, failure in enumerate(taken):
        if not lit >> i & 1:
            yield FalseAnnunciation(answer.state.name, failure, False)
