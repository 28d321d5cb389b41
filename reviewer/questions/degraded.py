"""What a part or wire does that is degraded or leaks: at one resistance, and from which one on a
function is lost."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.failure_modes import BY_OHMS, OPEN, Failure, Mode
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.cut_sets.degradation import (
    FINE,
    GRID,
    Degradation,
    DegradedLoss,
    HighVolts,
    LowLoad,
)
from reviewer.analysis.cut_sets.degraded_effects import DegradedEffect, LoadVolts, ShownBy, degraded_effect
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.record import record
from reviewer.questions.naming import places_of

__all__ = [
    "DegradedAnswer",
    "DegradedEffect",
    "DegradedLoss",
    "HighVolts",
    "LoadVolts",
    "LowLoad",
    "ShownBy",
    "degraded_of",
]


@record
class OnBatteries:
    """The ``losses`` and ``low`` loads once no alternator gives anything, that a smaller change of
    resistance causes then than with one at work, or that only come then. ``missing`` says what the file
    lacks for them."""

    losses: tuple[DegradedLoss, ...] = ()
    low: tuple[LowLoad, ...] = ()
    missing: str = ""


@record
class DegradedAnswer:
    """One ``mode`` of an element, ``at`` a terminal or "" where it has one path only.

    ``effect`` is what it does at the resistance that was asked for, None where none was. ``losses``
    are the functions that some resistance loses; ``low`` the loads of the other critical functions
    that it takes below their minimum; ``high`` the loads that it takes above their maximum, and the
    alternators to their overvoltage trip. ``on_batteries`` has what is worse without any alternator.
    ``missing`` says what the file lacks for all.
    """

    mode: Mode
    at: str
    effect: DegradedEffect | None
    losses: tuple[DegradedLoss, ...]
    missing: str = ""
    low: tuple[LowLoad, ...] = ()
    #: what the file lacks for ``low`` alone
    low_missing: str = ""
    high: tuple[HighVolts, ...] = ()
    on_batteries: OnBatteries = OnBatteries()


def degraded_of(
    facts: Facts, answer: StateAnswer, element: str, modes: tuple[Mode, ...], asked: Failure | None
) -> tuple[DegradedAnswer, ...]:
    """What ``asked`` does, one failure with its resistance; without it, from which resistance on each
    of ``modes`` loses a function, at each place of the element."""
    if asked is not None:
        return (_answered(facts, answer, asked, True),)
    return tuple(_each(facts, answer, element, modes))


def _each(
    facts: Facts, answer: StateAnswer, element: str, modes: tuple[Mode, ...]
) -> Iterator[DegradedAnswer]:
    for mode in modes:
        if mode in BY_OHMS:
            for place in places_of(facts.network, element, mode):
                failure = Failure(element, mode, position=place, ohms=GRID[0])
                yield _answered(facts, answer, failure, False)


def _answered(facts: Facts, answer: StateAnswer, failure: Failure, with_effect: bool) -> DegradedAnswer:
    of = Degradation(facts.points, answer, failure)
    try:
        effect = degraded_effect(of) if with_effect else None
        losses, highs = of.losses(), of.highs()
    except NotAssessable as missing:
        return DegradedAnswer(failure.mode, failure.position, None, (), missing.needs)
    lost = {loss.function for loss in losses}
    try:
        low, needs = tuple(one for one in of.low_loads() if one.function not in lost), ""
    except NotAssessable as missing:
        low, needs = (), missing.needs
    alone = _on_batteries(facts, answer, failure, losses, low)
    return DegradedAnswer(failure.mode, failure.position, effect, losses, "", low, needs, highs, alone)


def _on_batteries(
    facts: Facts,
    answer: StateAnswer,
    failure: Failure,
    losses: tuple[DegradedLoss, ...],
    low: tuple[LowLoad, ...],
) -> OnBatteries:
    """What is worse than some losses and low loads once no alternator gives anything."""
    machines = [s.element for s in answer.network.sources if s.kind == "alternator"]
    at_work = [e for e in machines if answer.healthy.alive[e]]
    if not at_work or failure.element in machines:
        return OnBatteries()
    of = Degradation(facts.points, answer, failure, tuple(Failure(e, OPEN) for e in at_work))
    with_one = {loss.function: loss for loss in losses}
    with_one_low = {one.load: one for one in low}
    try:
        every = of.losses()
        lost = with_one.keys() | {loss.function for loss in every}
        loads = [one for one in of.low_loads() if one.function not in lost]
    except NotAssessable as missing:
        return OnBatteries(missing=missing.needs)
    return OnBatteries(
        tuple(one for one in every if _worse(of, one, with_one.get(one.function))),
        tuple(one for one in loads if _worse(of, one, with_one_low.get(one.load))),
    )


def _worse(of: Degradation, alone: DegradedLoss | LowLoad, with_one: DegradedLoss | LowLoad | None) -> bool:
    """Whether a loss on batteries alone needs less than the same with an alternator at work, by more than
    the search tells apart."""
    if with_one is None:
        return True
    apart = max(alone.ohms / with_one.ohms, with_one.ohms / alone.ohms)
    return apart > FINE and of.sooner(alone, with_one)
