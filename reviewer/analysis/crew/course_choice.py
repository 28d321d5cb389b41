"""Which actions restore most after failures that look alike, one after another.

The gravest function first. An action is taken only if, after every one of the failures, it loses no
function that works and is as grave as what it restores, and ties no sources together, neither when
it is done nor on the way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction.states import function_masks
from reviewer.analysis.crew.by_hand import HandMoves
from reviewer.analysis.crew.course import Course, CourseStep, Moves, move_order
from reviewer.analysis.crew.recovery_search import as_severe
from reviewer.analysis.paths.reverse_feed import tie_masks
from reviewer.model.record import record
from reviewer.model.review import HazardClass

#: actions on one card that restore something
MOST_STEPS = 4


@record
class ChosenStep:
    """An action with its ``moves`` in the order in which they are made; ``by_hand`` where the file
    declares no such action. ``restores`` are functions that work afterwards after every one of the
    failures that lost them, ``may_restore`` after some; ``stops`` are loads that run unwanted until
    then, ``costs`` functions that it loses."""

    action: str
    moves: Moves
    by_hand: bool
    restores: tuple[str, ...] = ()
    may_restore: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()


class CourseChoice:
    """The steps after the cases of a course, with the actions of the file and single moves by hand."""

    def __init__(self, course: Course, hand: HandMoves, unwanted: Sequence[str]):
        """``unwanted`` are loads (elements) that run in every case though nothing commands them."""
        self.course, self.hand, self.unwanted = course, hand, tuple(unwanted)
        self.design = course.design
        functions = self.design.functions
        self.grave = sorted(functions, key=lambda f: -HazardClass.of(functions[f].loss))
        self.critical = [f for f in functions if self._hazard(f) >= HazardClass.HAZARDOUS]
        self.begin = self.now = course.start()
        self.steps: list[ChosenStep] = []

    def _hazard(self, function: str) -> HazardClass:
        return HazardClass.of(self.design.functions[function].loss)

    def restore(self, function: str, candidates: Sequence[tuple[str, ...]]) -> None:
        """Take the sequence of actions, of some, that restores a function after the most failures."""
        if self.now.works[function] == self.course.every:
            return
        best: tuple[int, list[tuple[CourseStep, ChosenStep]]] | None = None
        for candidate in dict.fromkeys(candidates):
            found = self._through(candidate, function)
            if found and len(self.steps) + len(found) <= MOST_STEPS:
                gained = (found[-1][0].works[function] & ~self.now.works[function]).bit_count()
                if gained and (best is None or gained > best[0]):
                    best = gained, found
        for step, chosen in best[1] if best else ():
            self.now = step
            self.steps.append(chosen)

    def _through(
        self, candidate: tuple[str, ...], function: str
    ) -> list[tuple[CourseStep, ChosenStep]] | None:
        """The steps of a sequence; None where one of them cannot be taken."""
        watched = [f for f in self.design.functions if as_severe(self.design, f, function)]
        found, now = [], self.now
        for action in candidate:
            after = self.course.then(now, action)
            if after is None:
                continue  # done already, or set so
            order = move_order(self.course, now, action, watched)
            if self.course.loses(now, after, watched) or self.course.ties(now, after) or not order.holds:
                return None
            found.append((after, self._chosen(now, after, action, order.moves)))
            now = after
        return found

    def stop(self) -> None:
        """Take the action or move that stops what runs unwanted, for the least of functions."""
        running = [e for e in self.unwanted if self.now.now.solved.powered.get(e)]
        if not running or len(self.steps) >= MOST_STEPS:
            return
        best: tuple[tuple[int, int, int], CourseStep, ChosenStep] | None = None
        for place, (action, cost) in enumerate(self._stopping(running).items()):
            after = self.course.then(self.now, action)
            if after is None or self.course.ties(self.now, after):
                continue
            lost = self.course.loses(self.now, after, self.grave)
            if any(self._hazard(f) >= HazardClass.MAJOR for f in lost):
                continue
            order = move_order(self.course, self.now, action, self.critical)
            rank = sum(10 ** self._hazard(f) for f in lost), cost, place
            if order.holds and (best is None or rank < best[0]):
                best = rank, after, self._chosen(self.now, after, action, order.moves)
        if best:
            self.now = best[1]
            self.steps.append(best[2])

    def _stopping(self, running: Sequence[str]) -> Mapping[str, int]:
        """The actions after which nothing of ``running`` runs in any case, each with its moves."""
        assert self.design.operation is not None
        every = self.course.every
        moves = {n: tuple(a.move.items()) for n, a in self.design.operation.actions.items()}
        done = {
            frozenset(m): (place, solved)
            for m, place, solved in self.course.tried(self.now, tuple(moves.values()))
        }
        found = {}
        for name, one in moves.items():
            place, solved = done.get(frozenset(one), (0, None))
            if solved and not any(solved.powered[e] >> place & every for e in running):
                found[name] = len(one)
        return found

    def _chosen(self, before: CourseStep, after: CourseStep, action: str, moves: Moves) -> ChosenStep:
        lost = {f: self.course.every & ~before.works[f] for f in self.grave}
        back = {f: lost[f] & after.works[f] for f in self.grave}
        off = tuple(
            e
            for e in self.unwanted
            if before.now.solved.powered.get(e) and not after.now.solved.powered.get(e)
        )
        return ChosenStep(
            action,
            moves,
            action in self.hand.moves,
            tuple(f for f in self.grave if back[f] and after.works[f] == self.course.every),
            tuple(f for f in self.grave if back[f] and after.works[f] != self.course.every),
            off,
            self.course.loses(before, after, self.grave),
        )


@record
class Prohibition:
    """``moves`` that are not to be made: they lose functions (``loses``) that they lose in no sound
    system, tie sources together (``ties``), or leave functions on batteries alone."""

    moves: Moves
    loses: tuple[str, ...] = ()
    ties: tuple[tuple[str, str], ...] = ()
    on_batteries: tuple[str, ...] = ()


def prohibitions(course: Course, step: CourseStep, moves: Sequence[Moves]) -> tuple[Prohibition, ...]:
    """Those of some moves that lose a function of class hazardous or worse in any case, and not where
    nothing has failed, or tie sources that were not tied, from a step on."""
    design = course.design
    critical = [
        f for f in design.functions if HazardClass.of(design.functions[f].loss) >= HazardClass.HAZARDOUS
    ]
    sound = Course(design, course.network, course.answer, ((),))
    at_rest = sound.start()
    usual = {}
    for done, place, solved in sound.tried(at_rest, moves):
        works = function_masks(design, solved.powered, (2 << place) - 1)
        usual[frozenset(done)] = {f for f in critical if not works[f] >> place & 1}
    found = []
    for done, place, solved in course.tried(step, moves):
        works = function_masks(design, solved.powered, (1 << place + len(course.cases)) - 1)
        loses = tuple(
            f
            for f in critical
            if f not in usual.get(frozenset(done), ()) and step.works[f] & ~(works[f] >> place)
        )
        ties = tuple(
            (source.element, other.element)
            for source, other, into, _ in tie_masks(design, course.network, solved, course.own)
            if into >> place & course.every & ~step.ties.get((source.element, other.element), 0)
        )
        if loses or ties:
            found.append(Prohibition(done, loses, ties))
    return tuple(found)
