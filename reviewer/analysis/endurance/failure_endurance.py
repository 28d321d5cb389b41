"""How long functions last on batteries after a failure that leaves them nothing else, while the crew
carries out actions that restore some of them and then sheds loads."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import SHORT, Failure
from reviewer.analysis.endurance.generation_loss import GenerationLoss, LaterMove
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState

if TYPE_CHECKING:
    from reviewer.analysis.endurance.answers import Endurance
    from reviewer.analysis.endurance.shedding import LossNotice


@record
class LimitedFunction:
    """A function that lasts as long as batteries: seconds from the failure until it is lost while the crew
    does nothing (``unattended``), and with all actions (``attended``; None where that was not computed,
    with what is missing in ``needs``). Infinite where it is not lost. ``later`` are actions that are
    made when it is lost."""

    function: str
    unattended: float
    attended: float | None
    later: tuple[LaterMove, ...] = ()


def limited_functions(
    endurance: Endurance,
    case: Sequence[Failure],
    phase: str | None,
    course: Sequence[str],
    shed: Sequence[str],
    notice: LossNotice | None,
) -> Mapping[str, LimitedFunction]:
    """By function of class major or worse how long it lasts after some failures at once, in the normal
    state with the loads of a phase. ``course`` are declared actions that restore functions; then loads
    are ``shed``. Without a ``notice`` no move of the crew counts. Raises NotAssessable."""
    plan = [*course, *(action for action in shed if action not in course)]
    loss = loss_after(endurance, case, phase, plan)
    alone = loss.until(0)
    after = loss.after_moves(len(course)) if course and notice else {}
    found = {}
    for function in loss.functions:
        unattended = loss.own.lasts(function, alone, {})
        if course or notice is None:
            found[function] = LimitedFunction(function, unattended, after.get(function, unattended))
            continue
        seconds, later = unattended, tuple[LaterMove, ...]()
        if notice.seconds < alone.lost_at(function):
            seconds, later = loss.with_all_moves(function, notice.seconds)
        found[function] = LimitedFunction(function, unattended, seconds, later)
    return found


def loss_after(
    endurance: Endurance, case: Sequence[Failure], phase: str | None, plan: Sequence[str]
) -> GenerationLoss:
    """The loss of all generation by some failures at once in the normal state with the loads of a phase,
    while the crew carries out a ``plan``. Raises NotAssessable."""
    loss = GenerationLoss(endurance.points, endurance.surfaces, case, phase, plan)
    if not _shorts_to_return(loss):
        return loss
    # what it has opened is in the case; the short itself takes nothing any more
    rest = [f for f in case if f.mode != SHORT]
    return GenerationLoss(endurance.points, endurance.surfaces, rest, phase, plan)


def with_and_without(
    endurance: Endurance, case: Sequence[Failure], phase: str | None, state: ResolvedState
) -> Mapping[str, tuple[float, float]]:
    """By function the seconds until it is lost if nothing is done, and if the switches are moved to a
    ``state`` once the recognition time has passed; the moves take no time. Raises NotAssessable."""
    loss = GenerationLoss(endurance.points, endurance.surfaces, case, phase, ())
    return loss.moved_to(state, endurance.states.operation.recognition_time or 0.0)


def _shorts_to_return(loss: GenerationLoss) -> bool:
    """Whether the place of a short is on the return of a battery that works, once the crew has made its
    moves: a lamp that the alternator grounds when it is off."""
    batteries = [s for s in loss.network.sources if s.kind == "battery"]
    return any(
        segment.now.alive[s.element] and segment.now.zone[s.negative]
        for segment in loss.segments
        for s in batteries
    )
