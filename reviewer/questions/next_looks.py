"""What to look at, switch or measure next, to tell failures apart: the safe ones first."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from enum import StrEnum

from reviewer.analysis.conduction.failure_modes import SHORT
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer, units_of
from reviewer.analysis.facts import Facts
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.questions.meter_ranges import Seen, apart
from reviewer.questions.state_signs import EITHER, Look, Sign, StateSigns

#: causes of which terminals are measured one by one; more are separated by other means first
MOST_CAUSES = 400


class Risk(StrEnum):
    """What is done to see a sign, the safest first."""

    LOOK = "look"
    MOVE = "move switches"
    MEASURE = "measure on the ground"
    MOVE_WITH_LOSS = "move switches on the ground"
    DISCONNECT = "disconnect and measure"


_ORDER = tuple(Risk)


@record
class NextLook:
    """A sign to be looked at; ``moved`` are the (switch, position) to be moved for it.

    ``splits`` are classes of it: what is seen, and how many causes of the first groups show that.
    ``left`` is how many are left on average.
    """

    risk: Risk
    sign: Sign
    moved: tuple[tuple[str, str], ...]
    splits: tuple[tuple[Seen, int], ...]
    left: float


def next_looks(
    facts: Facts, answer: StateAnswer, cases: Sequence[Case], asked: Collection[Sign]
) -> tuple[NextLook, ...]:
    """The best of each kind that splits some failures, the safest first, each that leaves fewer than
    those before it."""
    found: list[NextLook] = []
    best: dict[Risk, NextLook] = {}
    for look in _all(facts, answer, cases, asked):
        if look.risk not in best or look.left < best[look.risk].left - 1e-9:
            best[look.risk] = look
    for risk in _ORDER:
        one = best.get(risk)
        if one is not None and (not found or one.left < found[-1].left - 1e-9):
            found.append(one)
    return tuple(found)


def _all(
    facts: Facts, answer: StateAnswer, cases: Sequence[Case], asked: Collection[Sign]
) -> Iterator[NextLook]:
    here = StateSigns(facts, answer, cases)
    for sign in here.signs:
        if sign not in asked:
            yield from _look(here, Risk.LOOK, sign, ())
    for other in facts.states.answers():
        moved = tuple((s, at) for s, at in other.switches if dict(answer.switches).get(s) != at)
        if other is answer or not moved or not _only_by_hand(answer.state, other.state):
            continue
        name = other.state.name
        there = here.later(name)
        risk = Risk.MOVE if _costs_nothing(here, there) else Risk.MOVE_WITH_LOSS
        for sign in there.signs:
            later = Sign(sign.look, sign.name, name)
            if sign.look is not Look.PROTECTION and later not in asked:
                yield from _look(here, risk, later, moved)
    if len(cases) <= MOST_CAUSES:
        for terminal in facts.network.names:
            sign = Sign(Look.TERMINAL, terminal)
            if sign not in asked:
                yield from _look(here, Risk.MEASURE, sign, ())
        shorts = any(f.mode == SHORT for case in cases for f in failures_of(case))
        for name in here.isolation.names if shorts else ():
            sign = Sign(Look.ISOLATION, name)
            if sign not in asked:
                yield from _look(here, Risk.DISCONNECT, sign, ())


def _only_by_hand(one: ResolvedState, other: ResolvedState) -> bool:
    """Whether switches alone make one state of another."""
    return (
        (one.engine, one.engines, one.external_power) == (other.engine, other.engines, other.external_power)
        and set(one.pulled) == set(other.pulled)
        and (one.dead, one.without) == (other.dead, other.without)
    )


def _look(
    signs: StateSigns, risk: Risk, sign: Sign, moved: tuple[tuple[str, str], ...]
) -> Iterator[NextLook]:
    """What a sign shows of the causes; nothing where it separates none."""
    vague = (None, EITHER) if sign.look in (Look.UNIT, Look.PROTECTION) else (None,)
    seen = [None if s in vague else s for s in signs.seen(sign)[:-1]]
    classes = apart(seen)
    counts = {c: classes.count(c) for c in dict.fromkeys(classes) if c >= 0}
    if len(counts) < 2:
        return
    unknown = classes.count(-1)
    left = (sum((n + unknown) * n for n in counts.values()) + unknown * len(seen)) / len(seen)
    splits = tuple(
        (_whole([s for s, k in zip(seen, classes, strict=True) if k == c]), n) for c, n in counts.items()
    )
    yield NextLook(risk, sign, moved, splits, left)


def _whole(seen: Sequence[Seen]) -> Seen:
    known = [s for s in seen if s is not None]
    return min(low for low, _ in known), max(high for _, high in known)


def _costs_nothing(here: StateSigns, there: StateSigns) -> bool:
    """Whether no unit of a function of class major or worse that works now is turned off by the
    switches, whatever has failed: not one ignition of two, either."""
    design, now, then = here.facts.design, here.solved.powered, there.solved.powered
    return not any(
        now.get(element, 0) & ~then.get(element, 0)
        for name, function in design.functions.items()
        if HazardClass.of(function.loss) >= HazardClass.MAJOR
        for element in (f"parts/{unit}" for unit in units_of(design, name))
    )
