"""Which actions restore most after failures that look alike, one after another.

The gravest function first. An action is taken only if, after every one of the failures, it loses no
function that works and is as grave as what it restores, connects no source of such a function to a
short, and ties no sources together, neither when it is done nor on the way.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import combinations, permutations
from math import comb

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.states import function_masks, powers
from reviewer.analysis.crew.by_hand import HandMoves
from reviewer.analysis.crew.course import Course, CourseStep, MoveOrder, Moves, move_order
from reviewer.analysis.crew.recovery_search import MOST_LANES, as_severe
from reviewer.analysis.paths.reverse_feed import tie_masks
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare

#: actions on one card that restore something; ways to stop a motor that are looked at closely
MOST_STEPS, MOST_WAYS = 4, 60
#: ways of three moves that are looked at closely; how many more sets are listed than lanes may be solved
MOST_TRIPLES, MOST_SETS = 12, 2
#: moves that may be prohibited times cases that are solved at once
MOST_AT_ONCE = 16_384
#: whether moves from one state of the switches to another leave functions on batteries for a shorter
#: time than without them
Worse = Callable[[ResolvedState, ResolvedState], bool]


@record
class ChosenStep:
    """An action with its ``moves`` in the order in which they are made; ``by_hand`` where the file
    declares no such action. ``restores`` are functions that work afterwards after every one of the
    failures that lost them, ``may_restore`` after some; ``stops`` are loads that run unwanted until
    then, ``may_stop`` those that it stops after some; ``costs`` are functions that it loses. ``together``
    as of :class:`MoveOrder`."""

    action: str
    moves: Moves
    by_hand: bool
    restores: tuple[str, ...] = ()
    may_restore: tuple[str, ...] = ()
    stops: tuple[str, ...] = ()
    costs: tuple[str, ...] = ()
    may_stop: tuple[str, ...] = ()
    together: bool = False


class CourseChoice:
    """The steps after the cases of a course, with the actions of the file and single moves by hand."""

    def __init__(self, course: Course, hand: HandMoves, unwanted: Sequence[str]):
        """``unwanted`` are loads (elements) that run in every case though nothing commands them, and
        alternators that nothing regulates."""
        self.course, self.hand, self.unwanted = course, hand, tuple(unwanted)
        self.design = course.design
        functions = self.design.functions
        self.grave = sorted(functions, key=lambda f: -HazardClass.of(functions[f].loss))
        self.critical = [f for f in functions if self._hazard(f) >= HazardClass.HAZARDOUS]
        self.begin = self.now = course.start()
        self.steps: list[ChosenStep] = []
        #: moves in a row that were tried to stop what runs
        self.tried = 0

    def _worst_stopped(self, function: str) -> HazardClass:
        """The class from which a function may not be lost to stop what runs unwanted: one that the state
        does without runs by the failure alone, and is set again when it is wanted."""
        return HazardClass.MAJOR if self.course.answer.alive[function] else HazardClass.HAZARDOUS

    def _given_up(self, function: str) -> bool:
        """Whether a function rests on an alternator that is to be stopped, or the state does without it
        and it rests on what runs unwanted."""
        free = [e for e in self.unwanted if isinstance(self.design.parts[bare(e)], p.Alternator)]
        stopped = free if self.course.answer.alive[function] else self.unwanted
        return any(f"parts/{name}" in stopped for name in self.design.functions[function].of)

    def _on(self, solved: Conduction, element: str) -> int:
        """The lanes in which a load runs, or an alternator feeds a bus or another source."""
        if element in solved.powered:
            return solved.powered[element]
        return powers(self.design, self.course.network, solved, element)

    def _unloaded(self, function: str) -> int:
        """The lanes in which a source that is a channel of a function feeds a bus or another source, and
        only lacks a load: what turns one on restores nothing."""
        names = [f"parts/{name}" for name in self.design.functions[function].of if name in self.design.parts]
        solved, network = self.now.now.solved, self.course.network
        return join(powers(self.design, network, solved, e) for e in names if e in solved.fed)

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
                idle = ~(self.now.works[function] | self._unloaded(function))
                gained = (found[-1][0].works[function] & idle).bit_count()
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
            harms = self.course.loses(now, after, watched) or self.course.feeds_short(now, after, watched)
            if harms or self.course.ties(now, after) or not order.holds:
                return None
            found.append((after, self._chosen(now, after, action, order)))
            now = after
        return found

    def stop(self, worse: Worse, harmless: bool = False) -> None:
        """Take the action or move that stops what runs unwanted, for the least of functions, of what is
        ``harmless`` while it runs for none; where none does after every failure, one that may and costs
        nothing, then two moves in a row; to stop a starter, or an alternator that nothing regulates,
        three."""
        running = [e for e in self.unwanted if self._on(self.now.now.solved, e)]
        if not running or len(self.steps) >= MOST_STEPS:
            return
        self.tried = 1
        left = self._left_running(running, [(name,) for name in self._moves])
        if self._take([one for one, lanes in left.items() if not lanes], worse, free=harmless):
            return
        now = join(self._on(self.now.now.solved, e) for e in running) & self.course.every
        most = sorted((one for one, lanes in left.items() if lanes & now != now), key=lambda one: left[one])
        self._take(most, worse, free=True, in_order=True)
        if len(self.steps) + 2 <= MOST_STEPS:
            pairs = self._left_running(running, self._pairs())
            self.tried = 2 if pairs else 1
            if self._take([one for one, lanes in pairs.items() if not lanes], worse, free=harmless):
                return
        if len(self.steps) + 3 <= MOST_STEPS and any(map(self._is_emergency, running)):
            self._take(list(self._triples(running)), worse, in_order=True)

    def _is_emergency(self, element: str) -> bool:
        """Whether what runs is a starter, or an alternator that nothing regulates."""
        part = self.design.parts[bare(element)]
        return isinstance(part, p.Alternator) or getattr(part, "type", None) == "starter"

    def _triples(self, running: Sequence[str]) -> Iterator[tuple[str, ...]]:
        """Three moves that stop all of ``running`` in every case and lose nothing that may not be lost, those
        that lose the least first; none where they are too many. One may meet an interlock, one keep on what
        the other takes off."""
        joined = {
            tuple(move for name in way for move in self._moves[name]): way for way in self._sets_of_moves(3)
        }
        self.tried = 3 if joined else self.tried
        found, works = [], dict[str, int]()
        for moves, place, solved in self.course.tried(self.now, tuple(joined)):
            if not works:  # all were solved at once
                works = function_masks(self.design, solved.powered, (1 << solved.width) - 1)
            every = self.course.every
            if any(self._on(solved, e) >> place & every for e in running):
                continue
            lost = [f for f in self.grave if self.now.works[f] & ~(works[f] >> place)]
            if not any(self._hazard(f) >= self._worst_stopped(f) for f in lost if not self._given_up(f)):
                pulled = sum(at == "pulled" for _, at in moves)
                found.append((sum(10 ** self._hazard(f) for f in lost), pulled, joined[moves]))
        yield from (way for *_, way in sorted(found)[:MOST_TRIPLES])

    @cached_property
    def _moves(self) -> Mapping[str, Moves]:
        """The moves of each action of the file and of each move by hand."""
        assert self.design.operation is not None
        return {name: tuple(one.move.items()) for name, one in self.design.operation.actions.items()}

    def _pairs(self) -> list[tuple[str, ...]]:
        """Two actions or moves that turn or pull different things; none where they are too many."""
        return self._sets_of_moves(2)

    def _sets_of_moves(self, many: int) -> list[tuple[str, ...]]:
        """So many actions or moves that turn or pull different things; none where they are too many."""
        # what is turned on stops nothing; of three it may keep a function
        useless = ("in", "on") if many < 3 else ("in",)
        names = [n for n in self._moves if self.hand.moves.get(n, ("", ""))[1] not in useless]
        if comb(len(names), many) * len(self.course.cases) > MOST_SETS * MOST_LANES:
            return []
        turned = {name: {switch for switch, _ in self._moves[name]} for name in names}
        found = [
            some
            for some in combinations(names, many)
            if len(set[str]().union(*(turned[n] for n in some))) == sum(len(turned[n]) for n in some)
        ]
        return found if len(found) * len(self.course.cases) <= MOST_LANES else []

    def _left_running(
        self, running: Sequence[str], ways: Sequence[tuple[str, ...]]
    ) -> dict[tuple[str, ...], int]:
        """The lanes in which any of ``running`` runs on after each of some ways to stop it."""
        joined = {way: tuple(move for name in way for move in self._moves[name]) for way in ways}
        after = {
            moves: join(self._on(solved, e) for e in running) >> place & self.course.every
            for moves, place, solved in self.course.tried(self.now, tuple(joined.values()))
        }
        return {way: after[moves] for way, moves in joined.items() if moves in after}

    def _take(
        self, ways: Sequence[tuple[str, ...]], worse: Worse, free: bool = False, in_order: bool = False
    ) -> bool:
        """Take the way that loses the least, the one of the fewest moves, a breaker pulled counting as
        two, or the first ``in_order``, if one can be taken; where it must be ``free``, of those that lose
        nothing which works in the sound state."""
        found = []
        for place, way in enumerate(ways[:MOST_WAYS]):
            steps = next((done for order in permutations(way) if (done := self._stopping(order))), [])
            if steps:
                cost = sum(10 ** self._hazard(f) for _, one in steps for f in one.costs)
                moves = sum(1 + (at == "pulled") for _, one in steps for _, at in one.moves)
                if not free or not any(self.course.answer.alive[f] for _, one in steps for f in one.costs):
                    found.append(((0, 0, place) if in_order else (cost, moves, place), steps))
        for _, steps in sorted(found, key=lambda one: one[0]):
            if not worse(self.now.state, steps[-1][0].state):
                self.now = steps[-1][0]
                self.steps += [one for _, one in steps]
                return True
        return False

    def _stopping(self, way: tuple[str, ...]) -> list[tuple[CourseStep, ChosenStep]]:
        """The steps of a way; none where one ties sources or loses a function of class major."""
        found, now = [], self.now
        for action in way:
            after = self.course.then(now, action)
            if after is None or self.course.ties(now, after):
                return []
            lost = self.course.loses(now, after, self.grave)
            if any(self._hazard(f) >= self._worst_stopped(f) for f in lost if not self._given_up(f)):
                return []
            order = move_order(self.course, now, action, self.critical)
            if not order.holds:
                return []
            found.append((after, self._chosen(now, after, action, order)))
            now = after
        return found

    def _chosen(self, before: CourseStep, after: CourseStep, action: str, order: MoveOrder) -> ChosenStep:
        lost = {f: self.course.every & ~before.works[f] for f in self.grave}
        back = {f: lost[f] & after.works[f] for f in self.grave}
        runs = {e: (self._on(before.now.solved, e), self._on(after.now.solved, e)) for e in self.unwanted}
        every = self.course.every
        gone = {e for e, (was, on) in runs.items() if was and not on}
        unsure = {e for e in gone if getattr(self.design.parts[bare(e)], "regulator", None) == "internal"}
        return ChosenStep(
            action,
            order.moves,
            action in self.hand.moves,
            tuple(f for f in self.grave if back[f] and after.works[f] == self.course.every),
            tuple(f for f in self.grave if back[f] and after.works[f] != self.course.every),
            tuple(e for e in runs if e in gone - unsure),
            self.course.loses(before, after, self.grave),
            # a regulator inside may go on without what turns it on
            tuple(e for e, (was, on) in runs.items() if e in unsure or (on and was & ~on & every)),
            order.together,
        )


@record
class Prohibition:
    """``moves`` that are not to be made: they lose functions (``loses``) that they lose in no sound
    system, tie sources together (``ties``), leave functions on batteries alone, or take sound alternators
    off line (``turns_off``); ``always`` after every one of the failures."""

    moves: Moves
    loses: tuple[str, ...] = ()
    ties: tuple[tuple[str, str], ...] = ()
    on_batteries: tuple[str, ...] = ()
    turns_off: tuple[str, ...] = ()
    always: bool = True


#: by moves, the critical functions that they lose
LostByMoves = Mapping[frozenset[tuple[str, str]], frozenset[str]]


def usually_lost(course: Course, moves: Sequence[Moves]) -> LostByMoves:
    """What each of some moves loses in the state of a course where nothing has failed."""
    # what has too little with nothing failed is no effect of a failure
    sound = Course(course.design, course.network, course.answer, ((),), low={})
    critical = _critical(course.design)
    return {
        frozenset(done): frozenset(f for f in critical if not works[f])
        for done, works, _ in _tried(sound, sound.start(), moves)
    }


def _critical(design: Design) -> list[str]:
    classes = ((f, HazardClass.of(function.loss)) for f, function in design.functions.items())
    return [f for f, hazard in classes if hazard >= HazardClass.HAZARDOUS]


@record
class MadeMoves:
    """``moves`` made by themselves after each of some cases: by critical function the cases in which they
    lose it, and by (source, other) those in which they tie the two."""

    moves: Moves
    loses: Mapping[str, int]
    ties: Mapping[tuple[str, str], int]


def made_moves(course: Course, step: CourseStep, moves: Sequence[Moves]) -> Iterator[MadeMoves]:
    """What each of some moves does by itself from a step on, in which cases; those that may be made."""
    critical = _critical(course.design)
    each = max(1, MOST_AT_ONCE // max(1, len(course.cases)))
    for some in (moves[i : i + each] for i in range(0, len(moves), each)):
        for done, works, tied in _tried(course, step, some):
            loses = {f: mask for f in critical if (mask := step.works[f] & ~works[f])}
            ties = {pair: new for pair, mask in tied.items() if (new := mask & ~step.ties.get(pair, 0))}
            yield MadeMoves(done, loses, ties)


def prohibitions(made: Iterable[MadeMoves], cases: int, usual: LostByMoves) -> tuple[Prohibition, ...]:
    """Those of some moves that lose a function of class hazardous or worse in any of some ``cases``, and
    not where nothing has failed (``usual``), or tie sources that were not tied."""
    found = []
    for one in made:
        often = usual.get(frozenset(one.moves), frozenset())
        loses = {f: here for f, mask in one.loses.items() if f not in often and (here := mask & cases)}
        ties = {pair: here for pair, mask in one.ties.items() if (here := mask & cases)}
        if loses or ties:
            always = all(mask == cases for mask in (*loses.values(), *ties.values()))
            found.append(Prohibition(one.moves, tuple(loses), tuple(ties), always=always))
    return tuple(found)


def _tried(
    course: Course, step: CourseStep, moves: Sequence[Moves]
) -> Iterator[tuple[Moves, Mapping[str, int], Mapping[tuple[str, str], int]]]:
    """Each of some moves made by itself after a step: the moves, the functions that work then, and the
    pairs of sources that are tied."""
    works: Mapping[str, int] = {}
    ties: Mapping[tuple[str, str], int] = {}
    for done, place, solved in course.tried(step, moves):
        if not works:  # all moves were solved at once
            works = function_masks(course.design, solved.powered, (1 << solved.width) - 1)
            tied = tie_masks(course.design, course.network, solved, course.own)
            ties = {(source.element, other.element): into for source, other, into, _ in tied}
        yield (
            done,
            {f: mask >> place & course.every for f, mask in works.items()},
            {pair: mask for pair, into in ties.items() if (mask := into >> place & course.every)},
        )
