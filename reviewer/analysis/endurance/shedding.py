"""What the crew sheds after the loss of a source: the segments of time that follow, and what each
action takes power from. One clock serves all: the crew begins when the recognition time has passed
since an alarm that shows the loss; without an alarm it sheds nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.states import function_masks, units_of
from reviewer.analysis.crew.moves import acted, excluded
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.sources.alternators import carrying
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints


@record
class SheddingSegment:
    """A segment after the loss: the state of the switches, what conducts in it, what it begins
    with, and its length (None to the end)."""

    state: ResolvedState
    now: Conduction
    name: str
    seconds: float | None


@record
class LossNotice:
    """The alarm that shows the loss of a source, ``seconds`` after it."""

    monitor: str
    seconds: float


def after_loss(
    operating: OperatingPoints,
    case: tuple[Failure, ...],
    state: ResolvedState,
    actions: Sequence[str] | None = None,
) -> tuple[SheddingSegment, ...]:
    """The segments after a loss that an alarm shows at once, through the shed plan or the ``actions``
    given: until an action is done, what was on before it is on, and what cannot be reached stays on.
    Raises NotAssessable."""
    plan = operating.states.operation.load_shedding if actions is None else actions
    now = conduct(operating.network, state, (case,), operating.states.answer(state.name).healthy)
    found = [
        (
            state,
            now,
            "until it is noticed" if plan else "to the end",
            _recognition(operating, plan),
        )
    ]
    for action in plan:
        seconds = operating.states.operation.actions[action].time
        if seconds is None:
            raise NotAssessable(f"`time` of action {action}")
        state, _ = acted(operating.design, state, action)
        if excluded(operating.design, state):
            raise NotAssessable(
                f"a shed plan that can be set: after {action} "
                "the switches are in a combination listed under `excluded`"
            )
        now = conduct(operating.network, state, (case,), now)
        found.append((state, now, action, seconds))
    waits = [seconds for *_, seconds in found]
    lengths: list[float | None] = [*waits[1:], None]
    if len(found) > 1:
        lengths[0] = waits[0] + waits[1]
    return tuple(
        SheddingSegment(one, then, words, length)
        for (one, then, words, _), length in zip(found, lengths, strict=True)
    )


def carried_out(
    segments: Sequence[SheddingSegment], moves: int, noticed_after: float
) -> tuple[SheddingSegment, ...]:
    """The segments where the crew makes the first ``moves`` of the shed plan and no other, and the
    alarm comes ``noticed_after`` seconds after the loss. The last one has no length."""
    found = list(segments[: moves + 1])
    if moves:
        found[0] = replace(found[0], seconds=(found[0].seconds or 0.0) + noticed_after)
    found[-1] = replace(found[-1], seconds=None)
    return tuple(found)


def _recognition(operating: OperatingPoints, plan: Sequence[str]) -> float:
    seconds = operating.states.operation.recognition_time
    if seconds is None and plan:
        raise NotAssessable("`recognition-time`: the time until the crew begins to shed")
    return seconds or 0.0


@record
class Shed:
    """An action of the shed plan: the loads, coils and alternators (their fields) that it takes
    power from, and whether `excluded` forbids how the switches then stand. ``stops`` are pairs of a
    lost alternator and a sound one that the action turns off or takes off line after that loss,
    ``joins`` such pairs where the action brings the sound one to a battery that it did not feed.
    ``functions`` are those that it takes off by loads that it does not declare to disconnect."""

    action: str
    loads: tuple[str, ...]
    forbidden: bool
    stops: tuple[tuple[str, str], ...]
    joins: tuple[tuple[str, str], ...]
    functions: tuple[str, ...]


@record
class SoundShed:
    """An action of the shed plan, and the sound alternator that it turns off."""

    action: str
    alternator: str


def shed_plan(operating: OperatingPoints) -> tuple[Shed, ...]:
    """What each action of the shed plan does, in order, from the normal state without its
    alternators; what cannot be reached stays as it is."""
    case = tuple(Failure(element, OPEN) for element in operating.network.generation)
    alternators = [s.element for s in operating.network.sources if s.kind == "alternator"]
    stops: dict[str, list[tuple[str, str]]] = {}
    joins: dict[str, list[tuple[str, str]]] = {}
    batteries = [s.positive for s in operating.network.sources if s.kind == "battery"]
    for lost in alternators if len(alternators) > 1 else ():
        others = [e for e in alternators if e != lost]
        for action, _, now, then in _carried_out(operating, (Failure(lost, OPEN),)):
            network = operating.network
            sound = [e for e in others if carrying(network, now, e) and not carrying(network, then, e)]
            stops.setdefault(action, []).extend((bare(lost), bare(e)) for e in sound)
            brought = [e for e in others if any(then.fed[e][b] and not now.fed[e][b] for b in batteries)]
            joins.setdefault(action, []).extend((bare(lost), bare(e)) for e in brought)
    found = []
    for action, state, now, then in _carried_out(operating, case):
        off = [
            e
            for masks in ("powered", "energised")
            for e, mask in getattr(now, masks).items()
            if mask and not getattr(then, masks)[e]
        ]
        fields = [
            s.element
            for s in operating.network.sources
            if s.field is not None and now.live(s.field) and not then.live(s.field)
        ]
        loads = tuple(bare(e) for e in (*off, *fields))
        forbidden = excluded(operating.design, state)
        stopped, joined = (tuple(of.get(action, ())) for of in (stops, joins))
        off_unsaid = {*loads}.difference(operating.states.operation.actions[action].disconnects)
        before, after = (function_masks(operating.design, one.powered, 1) for one in (now, then))
        gone = (f for f in before if before[f] and not after[f])
        unsaid = tuple(f for f in gone if off_unsaid.intersection(units_of(operating.design, f)))
        found.append(Shed(action, loads, forbidden, stopped, joined, unsaid))
    return tuple(found)


def _carried_out(
    operating: OperatingPoints, case: tuple[Failure, ...]
) -> Iterator[tuple[str, ResolvedState, Conduction, Conduction]]:
    """Each action of the shed plan after a loss in the normal state, with the state that it leads to, and
    what conducts before and after it."""
    state = operating.states.declared[operating.states.operation.normal]
    now = conduct(operating.network, state, (case,), operating.states.answer(state.name).healthy)
    for action in operating.states.operation.load_shedding:
        state, _ = acted(operating.design, state, action)
        then = conduct(operating.network, state, (case,), now)
        yield action, state, now, then
        now = then
