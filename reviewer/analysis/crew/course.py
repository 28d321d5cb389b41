"""Actions carried out one after another after each of some cases, a lane each: what works after each
of them, which sources they tie together, and what single moves would do from there.

A function counts as working in a lane where it works whichever protective device clears a short that
the actions connect to another feed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import at_any, join, serves
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer, function_masks, loads_of, powers
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.crew.late_recovery import works_in_late_outcomes
from reviewer.analysis.crew.moves import (
    ActionSequence,
    Aftermath,
    acted,
    after_failures,
    continued,
    excluded,
    low_after_moves,
    moved,
)
from reviewer.analysis.paths.reverse_feed import OwnPairs, own_alternators, tie_masks
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, bare

#: moves of one action of which every order is tried; of more the order of the file is taken
MOST_ORDERED = 8
Moves = tuple[tuple[str, str], ...]


@record
class CourseStep:
    """What is after some ``actions``: the ``state`` of the switches, by function the lanes in which it
    ``works``, and by (source, other) those in which the source feeds the other though it must not."""

    actions: tuple[str, ...]
    moves: Moves
    state: ResolvedState
    now: Aftermath
    works: Mapping[str, int]
    ties: Mapping[tuple[str, str], int]


class Course:
    """A state with some cases of failure, a lane each, and the actions of ``design``, which may have
    more than the file declares."""

    def __init__(
        self,
        design: Design,
        network: Network,
        answer: StateAnswer,
        cases: Sequence[Case],
        low: Mapping[str, int],
        failed: Aftermath | None = None,
        dropping: bool = False,
    ):
        """``low`` are the lanes in which loads have too little voltage before any action, ``failed`` is
        what is then, if it was solved before; ``dropping`` where some relay has dropped out in it, with too
        few volts at its coil."""
        self.low, self.dropping = low, dropping
        self.design, self.network, self.answer, self.cases = design, network, answer, tuple(cases)
        self.every = (1 << len(self.cases)) - 1
        self.own: OwnPairs = own_alternators(design, network, answer)
        self._failed = failed or after_failures(network, answer.state, self.cases, answer.healthy)

    def start(self) -> CourseStep:
        """What is after the failures, before any action."""
        return self._begin

    @cached_property
    def _begin(self) -> CourseStep:
        now = self._failed
        powered = less(now.solved.powered, self.low)
        works = function_masks(self.design, powered, self.every)
        return CourseStep((), (), self.answer.state, now, works, self._ties(now.solved))

    def then(self, step: CourseStep, action: str, volts: bool = True) -> CourseStep | None:
        """What is after one more action; None where it changes nothing or cannot be set. Without
        ``volts`` a load with too little voltage counts as one that works."""
        state, moves = acted(self.design, step.state, action)
        if not moves or excluded(self.design, state):
            return None
        actions = (*step.actions, action)
        now = self.continued(step, [ActionSequence(actions, state, moves, moves)])
        low: Mapping[str, int] = {}
        if volts:
            low = low_after_moves(self.answer, now, [state], self.cases, self.every, minor=True)
        works = function_masks(self.design, less(now.solved.powered, low), self.every)
        works = {f: mask & ~now.solved.unsettled for f, mask in works.items()}
        every = (*step.moves, *moves)
        return CourseStep(
            actions,
            every,
            state,
            now,
            self._in_late_outcomes(works, now, ActionSequence(actions, state, every, moves)),
            self._ties(now.solved),
        )

    def tried(self, step: CourseStep, moves: Sequence[Moves]) -> Iterator[tuple[Moves, int, Conduction]]:
        """Each of some moves that changes something and can be set, made by itself after a step: its
        place in what was solved for all of them, a block of lanes each."""
        sequences = []
        for one in moves:
            state, done = moved(self.design, step.state, dict(one))
            if done and not excluded(self.design, state):
                sequences.append(ActionSequence(("",), state, one, done))
        if sequences:
            solved = self.continued(step, sequences).solved
            for i, sequence in enumerate(sequences):
                yield sequence.moves, i * len(self.cases), solved

    def loses(self, before: CourseStep, after: CourseStep, functions: Sequence[str]) -> tuple[str, ...]:
        """Those of some functions that a step loses in any lane."""
        return tuple(f for f in functions if before.works[f] & ~after.works[f])

    def ties(self, before: CourseStep, after: CourseStep) -> tuple[tuple[str, str], ...]:
        """The sources that a step ties together in any lane, as (source, other)."""
        return tuple(pair for pair, mask in after.ties.items() if mask & ~before.ties.get(pair, 0))

    def feeds_short(self, before: CourseStep, after: CourseStep, functions: Sequence[str]) -> tuple[str, ...]:
        """Those of some functions that work before a step and rest on a source which it connects to a short:
        more circuit protection opens. Until then their voltage dips."""
        more = {i: mask & ~before.now.tripped.get(i, 0) & self.every for i, mask in after.now.tripped.items()}
        if not any(more.values()):
            return ()
        solved, found = after.now.solved, dict[str, None]()
        loads = {f: {f"parts/{n}" for n in loads_of(self.design, f)} for f in functions}
        users = {f: [u for u in self.network.consumers if u.element in loads[f]] for f in functions}
        for i, source in product((i for i in more if more[i]), self.network.sources):
            link = self.network.links[i]
            lanes = at_any(solved.fed[source.element], (link.a, link.b)) & more[i]
            for f in functions if lanes else ():
                rest = lanes & before.works[f]
                if any(rest & serves(self.network, solved, source.element, user) for user in users[f]):
                    found[f] = None
        return tuple(found)

    def retripped(self, step: CourseStep, protectors: Iterable[str]) -> frozenset[str]:
        """Those of some protectors that have opened in any lane and open again there when each is reset."""
        link_of: dict[str, int] = {}
        for i, mask in step.now.tripped.items():
            if mask:
                link_of.setdefault(bare(self.network.links[i].element), i)
        opened = [name for name in protectors if name in link_of]
        if not opened:
            return frozenset()
        resets = [moved(self.design, step.state, {name: "in"}) for name in opened]
        after = self.continued(step, [ActionSequence(("",), state, done, done) for state, done in resets])
        return frozenset(
            name
            for k, name in enumerate(opened)
            if after.tripped.get(i := link_of[name], 0) >> k * len(self.cases) & step.now.tripped[i]
        )

    def continued(self, step: CourseStep, sequences: Sequence[ActionSequence]) -> Aftermath:
        """What comes of the moves of each sequence after a step, a block of the cases each."""
        now = continued(self.network, step.now, self.cases, sequences)
        if not self.dropping:
            return now
        states, every = [s.state for s in sequences], (1 << len(self.cases) * len(sequences)) - 1
        dropped = low_after_moves(self.answer, now, states, self.cases, every, coils=True)
        return continued(self.network, step.now, self.cases, sequences, dropped) if dropped else now

    def _ties(self, solved: Conduction) -> Mapping[tuple[str, str], int]:
        return MappingProxyType(
            {
                (source.element, other.element): into & ~solved.unsettled
                for source, other, into, _ in tie_masks(self.design, self.network, solved, self.own)
            }
        )

    def _in_late_outcomes(
        self, works: Mapping[str, int], now: Aftermath, sequence: ActionSequence
    ) -> Mapping[str, int]:
        """The functions that work whichever device clears a short first after the moves."""
        opened = self._failed.tripped, now.tripped
        late = works_in_late_outcomes(
            self.design, self.network, self.answer, self.cases, [sequence], *opened, self.every
        )
        return MappingProxyType({f: mask & late[f] for f, mask in works.items()})


@record
class MoveOrder:
    """An order of the moves of an action that ties no sources and loses no critical function on the
    way; where there is none, ``moves`` is as the file has them, and ``lost`` and ``tied`` are what the
    best of the orders does. ``surges`` counts the moves after which an alternator works without the battery
    that it had (a load dump, common practice, no published source). ``together`` where every order passes an
    excluded combination, as under a bar: they are one movement."""

    moves: Moves
    lost: tuple[str, ...] = ()
    tied: tuple[tuple[str, str], ...] = ()
    surges: int = 0
    together: bool = False

    @property
    def holds(self) -> bool:
        """Whether nothing is lost or tied on the way."""
        return not self.lost and not self.tied


def move_order(course: Course, before: CourseStep, action: str, critical: Sequence[str]) -> MoveOrder:
    """The order in which the moves of an action are best made after a step, one after another."""
    _, moves = acted(course.design, before.state, action)
    after = course.then(before, action)
    if after is None or not 1 < len(moves) <= MOST_ORDERED:
        return MoveOrder(moves)
    best = _best_from((), moves, lambda done: _between(course, before, after, done, critical), {})
    return best if best.moves else MoveOrder(moves, together=True)


def _best_from(
    done: Moves,
    moves: Moves,
    between: Callable[[Moves], MoveOrder | None],
    seen: dict[frozenset[tuple[str, str]], MoveOrder],
) -> MoveOrder:
    """The best order of what is left after some moves, with what it does on the way."""
    key = frozenset(done)
    if key not in seen:
        found: list[MoveOrder] = []
        for one in moves:
            if one in key:
                continue
            if len(done) + 1 == len(moves):
                found.append(MoveOrder((one,)))
            elif (does := between((*done, one))) is not None:
                rest = _best_from((*done, one), moves, between, seen)
                lost = tuple(dict.fromkeys((*does.lost, *rest.lost)))
                tied = tuple(dict.fromkeys((*does.tied, *rest.tied)))
                found.append(MoveOrder((one, *rest.moves), lost, tied, does.surges + rest.surges))
        found = [o for o in found if len(o.moves) == len(moves) - len(done)]
        seen[key] = min(found, key=lambda o: (len(o.lost), len(o.tied), o.surges), default=MoveOrder(()))
    return seen[key]


def _between(
    course: Course, before: CourseStep, goal: CourseStep, done: Moves, critical: Sequence[str]
) -> MoveOrder | None:
    """What is lost and tied after some of the moves that is neither before nor after all of them; None
    where they cannot be set."""
    state, changed = moved(course.design, before.state, dict(done))
    if excluded(course.design, state):
        return None
    now = course.continued(before, [ActionSequence(("",), state, changed, changed)])
    works = function_masks(course.design, now.solved.powered, course.every)
    lost = tuple(f for f in critical if before.works[f] & goal.works[f] & ~works[f])
    pairs = tie_masks(course.design, course.network, now.solved, course.own)
    tied = tuple(
        (source.element, other.element)
        for source, other, into, _ in pairs
        if into
        & ~before.ties.get((source.element, other.element), 0)
        & ~goal.ties.get((source.element, other.element), 0)
    )
    surges = _without_battery(course, now.solved) & ~_without_battery(course, before.now.solved)
    return MoveOrder((), lost, tied, int(bool(surges)))


def _without_battery(course: Course, solved: Conduction) -> int:
    """The lanes in which an alternator feeds a bus or another source, and no battery."""
    batteries = [s.positive for s in course.network.sources if s.kind == "battery"]
    alternators = [s.element for s in course.network.sources if s.kind == "alternator"]
    return join(
        powers(course.design, course.network, solved, e) & ~at_any(solved.fed[e], batteries)
        for e in alternators
    )
