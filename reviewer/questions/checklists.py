"""Checklists for every indication in a state: what it means, what works and for how long, what
restores, what not to do.

Single failures that show the same have one course of action. A card is of all failures with the same
first indication that lose the same and are dealt with alike. What it claims holds after every one of
them, whichever protective device clears a short.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property, partial

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.masks import join, pick
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.conduction.states import channel_mask, function_masks
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.crew.by_hand import hand_moves
from reviewer.analysis.crew.course import Course, CourseStep, Moves
from reviewer.analysis.crew.course_choice import ChosenStep, CourseChoice, Prohibition, prohibitions
from reviewer.analysis.endurance.failure_endurance import LimitedFunction
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.analysis.facts import Facts
from reviewer.analysis.sources.alternators import no_longer_charged
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.questions.checklist_cards import (
    BreakerReset,
    ChecklistCard,
    Checklists,
    ServedIndication,
)
from reviewer.questions.checklist_minutes import A_MINUTE, CardMinutes
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.failure_causes import causes_of
from reviewer.questions.first_signs import FirstSigns
from reviewer.questions.meter_ranges import Seen
from reviewer.questions.state_signs import Look, Sign

#: moves that are prohibited on one card
MOST_PROHIBITED = 12


def checklists_of(facts: Facts, state: str | None = None) -> Checklists:
    """The cards of a state, the normal state if None. Raises NoAnswer without an operation."""
    return checklists(TroubleShooting(facts, state))


def checklists(shooting: TroubleShooting) -> Checklists:
    """The cards of a state that is solved."""
    return _Checklists(shooting).answer()


@record
class _SameCard:
    """Failures with one pattern of signs, by their lanes: the first sign with how it moved, the
    functions that any of them loses, the motors that run unwanted, the course."""

    first: tuple[Sign, int]
    lanes: tuple[int, ...]
    lost: tuple[str, ...]
    unwanted: tuple[str, ...]
    steps: tuple[ChosenStep, ...]
    left: tuple[str, ...]
    rests_on: tuple[tuple[str, tuple[str, ...]], ...]
    on_batteries: tuple[str, ...]


class _Checklists:
    def __init__(self, shooting: TroubleShooting):
        self.facts = facts = shooting.facts
        self.design, self.network = facts.design, facts.network
        self.signs, self.state = shooting.signs, shooting.answer
        self.patterns = self._visible(shooting.patterns)
        self.first = FirstSigns(facts, self.signs)
        self.hand = hand_moves(self.design, self.state.state, pulled=True)
        functions = self.design.functions
        self.grave = sorted(functions, key=lambda f: -HazardClass.of(functions[f].loss))
        self.minutes = CardMinutes(facts, self.state, self.signs.cases[:-1])

    def _visible(self, patterns: Mapping[tuple[int, ...], Sequence[int]]) -> dict[tuple[int, ...], list[int]]:
        """The patterns without open protection, which may be out of sight; where nothing else shows,
        with it. Causes that look alike then have one course."""
        hidden = [sign.look is Look.PROTECTION for sign in self.signs.signs]
        found: dict[tuple[int, ...], list[int]] = {}
        for shown, lanes in patterns.items():
            seen = tuple(0 if off else by for by, off in zip(shown, hidden, strict=True))
            found.setdefault(seen if any(seen) else shown, []).extend(lanes)
        return found

    def answer(self) -> Checklists:
        """All cards and indications."""
        groups: dict[tuple[object, ...], list[_SameCard]] = {}
        for shown, together in self.patterns.items():
            for lanes, harmed in self._parted(shown, together):
                one = self._alike(shown, lanes)
                key = (
                    *(one.first, one.lost, one.unwanted, one.left, one.steps, one.rests_on),
                    *(one.on_batteries, harmed),
                )
                groups.setdefault(key, []).append(one)
        made = [(self._card(alike), alike) for alike in groups.values()]
        kept = [(card, alike) for card, alike in made if _says_something(card)]
        kept.sort(key=lambda one: (-one[0].hazard, self.first.rank(one[0].sign, one[0].by, one[1][0].lanes)))
        return Checklists(
            self.state.state.name,
            self.state.switches,
            tuple(card for card, _ in kept),
            tuple(self._indications([{i for one in alike for i in one.lanes} for _, alike in kept])),
            len(self.signs.cases) - 1 - sum(map(len, self.patterns.values())),
        )

    @cached_property
    def works(self) -> Mapping[str, int]:
        """By function the cases after which it works."""
        return function_masks(self.design, self._powered, (1 << len(self.signs.cases)) - 1)

    @cached_property
    def _low(self) -> Mapping[str, int]:
        return self.state.low(self.signs.cases, self.signs.solved)

    @cached_property
    def _powered(self) -> Mapping[str, int]:
        return less(self.signs.solved.powered, self._low)

    @cached_property
    def _major(self) -> list[str]:
        functions = self.design.functions
        return [f for f in self.grave if HazardClass.of(functions[f].loss) >= HazardClass.MAJOR]

    @cached_property
    def _uncharged(self) -> int:
        """The cases after which nothing charges a battery that works, of those charged in a sound system."""
        solved, every = self.signs.solved, (1 << len(self.signs.cases)) - 1
        masks = no_longer_charged(self.network, self.state.healthy, solved)
        for element, mask in masks.items():
            every &= mask | ~solved.alive[element]
        return join(masks.values()) & every

    @cached_property
    def ways(self) -> Mapping[str, Mapping[Failure, tuple[tuple[str, ...], ...]]]:
        """By function and failure the sequences of actions that restore it, else the single moves."""
        return {
            function: self.facts.crew.ways_back(function, self.state.state.name, failures)
            for function in self.grave
            if (failures := tuple(dict.fromkeys(self._losing(function))))
        }

    def _losing(self, function: str) -> Iterator[Failure]:
        if self.state.alive[function]:
            for i, case in enumerate(self.signs.cases):
                if not self.works[function] >> i & 1:
                    yield failures_of(case)[0]

    def _alike(self, shown: tuple[int, ...], lanes: Sequence[int]) -> _SameCard:
        """The failures of a pattern, with what restores after them."""
        alive = [f for f in self.grave if self.state.alive[f]]
        lost = tuple(f for f in alive if any(not self.works[f] >> i & 1 for i in lanes))
        unwanted = tuple(
            f"parts/{sign.name}"
            for sign, by in zip(self.signs.signs, shown, strict=True)
            if sign.look is Look.UNIT and by > 0 and self._motor(sign.name)
        )
        steps: tuple[ChosenStep, ...] = ()
        left = lost
        if lost or unwanted:
            choice = CourseChoice(self._course(lanes), self.hand, unwanted)
            for function in lost:
                every = self.ways[function]
                ways = (way for i in lanes for way in every.get(failures_of(self.signs.cases[i])[0], ()))
                choice.restore(function, list(ways))
            choice.stop(partial(self.minutes.leaves_less, lanes))
            steps = tuple(choice.steps)
            left = tuple(f for f in alive if choice.now.works[f] != choice.course.every)
        on_batteries = {f for i in lanes for f in self.minutes.at_first(i)}
        return _SameCard(
            self.first.of(shown, lanes),
            tuple(lanes),
            lost,
            unwanted,
            steps,
            left,
            tuple(self._rests_on(lanes, left)),
            tuple(f for f in self.grave if f in on_batteries),
        )

    def _parted(self, shown: tuple[int, ...], lanes: Sequence[int]) -> Iterator[tuple[Sequence[int], bool]]:
        """Failures of a pattern that set off the same alarms; where the shed plan harms after some only,
        those that a reading tells from all of these apart from the rest, with whether any is harmed."""
        by_alarm: dict[tuple[Sign, ...], list[int]] = {}
        for i in lanes:
            by_alarm.setdefault(self.first.ringing(shown, i), []).append(i)
        for alike in by_alarm.values():
            harmed = self._harmed_by_shedding(alike)
            clear = [i for i in alike if self._reads_apart(i, harmed)] if harmed else list(alike)
            rest = [i for i in alike if i not in clear]
            yield from (some for some in ((clear, False), (rest, True)) if some[0])

    def _harmed_by_shedding(self, lanes: Sequence[int]) -> list[int]:
        """Those of some cases with a battery that discharges after which an action of the shed plan loses
        a function of class major or worse."""
        if not any(self.minutes.at_first(i) or self.minutes.overloaded(i) for i in lanes):
            return []
        course = self._course(lanes)
        begin, harm = course.start(), 0
        for action in self.facts.states.operation.load_shedding:
            after = course.then(begin, action, volts=False)
            if after is not None:
                harm |= join(begin.works[f] & ~after.works[f] for f in self._major)
        return [i for k, i in enumerate(lanes) if harm >> k & 1]

    def _reads_apart(self, lane: int, others: Sequence[int]) -> bool:
        """Whether a monitor reads more after a case than after all of some others, or less."""
        monitors = [sign for sign in self.signs.signs if sign.look is Look.MONITOR]
        for seen in map(self.signs.seen, monitors):
            one, known = seen[lane], [s for s in (seen[i] for i in others) if s is not None]
            if one is None or len(known) < len(others):
                continue
            if one[1] < min(low for low, _ in known) or one[0] > max(high for _, high in known):
                return True
        return False

    def _motor(self, name: str) -> bool:
        part = self.design.parts[name]
        return isinstance(part, p.Load) and part.type in ("motor", "starter")

    def _course(self, lanes: Sequence[int]) -> Course:
        cases = [self.signs.cases[i] for i in lanes]
        low = {element: pick(mask, lanes) for element, mask in self._low.items()}
        return Course(self.hand.design, self.network, self.state, cases, low)

    def _card(self, alike: Sequence[_SameCard]) -> ChecklistCard:
        """The card of failures that are dealt with alike."""
        one, lanes = alike[0], sorted(i for some in alike for i in some.lanes)
        sign, by = one.first
        course = self._course(lanes)
        now = course.start()
        for step in one.steps:
            now = course.then(now, step.action) or now
        overloaded = [i for i in lanes if self.minutes.overloaded(i)]
        flat = all(self._uncharged >> i & 1 or i in overloaded for i in lanes)
        shed, harmful, last = self._shed(
            course, now, lanes if flat or one.on_batteries or one.steps or overloaded else ()
        )
        notice = self.first.notice(sign, by, lanes)
        runs = bool(one.unwanted)
        limited, needs = self.minutes.limited(lanes, one.steps, shed, (now.state, last), notice, runs)
        gains = _gains(limited)
        unalarmed = False
        if shed and not gains and notice is None:
            # nothing is promised of a sign without an alarm, but what is done at once is computed
            at_once = LossNotice(sign.name, 0.0)
            sooner, _ = self.minutes.limited(lanes, one.steps, shed, (now.state, last), at_once, runs)
            gains = unalarmed = _gains(sooner)
            limited = sooner if gains else limited
        if shed and limited and not gains:
            limited, needs = self.minutes.limited(lanes, one.steps, (), (now.state,), notice, runs)
        functions = {f: HazardClass.of(self.design.functions[f].loss) for f in self.grave}
        worst = max([functions[f] for f in (*one.lost, *(c.function for c in limited))], default=_NONE)
        going = [f for f in self.facts.endurance.watched_functions if self.state.alive[f]]
        bounded = {c.function for c in limited}
        if needs:
            waiting = [f for f in one.on_batteries or going if f not in bounded]
            needs = f"{', '.join(waiting)}: {needs}" if waiting else needs
            bounded |= set(waiting)
        return ChecklistCard(
            sign=sign,
            by=by,
            seen=_whole([self.signs.seen(sign)[i] for i in lanes]),
            also=self._also(sign, lanes),
            causes=causes_of(self.signs, lanes),
            outcomes=tuple(failures_of(self.signs.cases[i])[0] for i in lanes),
            lost=tuple((f, functions[f]) for f in one.lost),
            unwanted=one.unwanted,
            steps=one.steps,
            shed=shed if gains or (flat and not limited) else (),
            left=one.left,
            limited=limited,
            unlimited=tuple(f for f in going if f not in one.left and f not in bounded),
            rests_on=one.rests_on,
            resets=tuple(self._resets(course, lanes, one.left)),
            prohibited=tuple(
                dict.fromkeys((*(harmful if limited else ()), *prohibitions(course, now, self._moves)))
            )[:MOST_PROHIBITED],
            hazard=worst,
            needs=needs,
            overloaded=len(overloaded) == len(lanes),
            unalarmed=unalarmed,
        )

    def _shed(
        self, course: Course, now: CourseStep, lanes: Sequence[int]
    ) -> tuple[tuple[str, ...], tuple[Prohibition, ...], ResolvedState]:
        """The actions of the shed plan, in their order, that after none of the causes lose a function of
        class major or worse, or leave one on batteries that an alternator keeps on after all of them; those
        that do; the state after the first ones."""
        taken: list[str] = []
        harmful: list[Prohibition] = []
        before = self.minutes.on_batteries(lanes, now.state)
        for action in self.facts.states.operation.load_shedding if lanes else ():
            after = course.then(now, action, volts=False)
            if after is None or not self._turns_off(now, after):
                continue
            lost, tied = course.loses(now, after, self._major), course.ties(now, after)
            then = self.minutes.on_batteries(lanes, after.state)
            kept_on = {f for functions in before.values() for f in functions}
            leaves = tuple(
                dict.fromkeys(f for i in lanes for f in then[i] if f not in kept_on and f not in lost)
            )
            if lost or tied or leaves:
                moves = tuple(self.facts.states.operation.actions[action].move.items())
                harmful.append(Prohibition(moves, lost, tied, leaves))
            else:
                taken.append(action)
                now, before = after, then
        return tuple(taken), tuple(harmful), now.state

    def _turns_off(self, before: CourseStep, after: CourseStep) -> bool:
        """Whether an action takes power from a load, a coil or a field in any case."""
        one, other = before.now.solved, after.now.solved
        users = ((one.powered[e], other.powered[e]) for e in one.powered)
        coils = ((one.energised[e], other.energised[e]) for e in one.energised)
        fields = (s.field for s in self.network.sources if s.field is not None)
        return any(was & ~still for was, still in (*users, *coils)) or any(
            one.live(field) & ~other.live(field) for field in fields
        )

    @cached_property
    def _moves(self) -> list[Moves]:
        """The moves that may be prohibited: actions of the file and switches to another position."""
        operation = self.facts.states.operation
        actions = [tuple(action.move.items()) for action in operation.actions.values()]
        single = [(move,) for move in self.hand.moves.values() if move[1] not in ("pulled", "in")]
        return list(dict.fromkeys((*single, *actions)))

    def _also(self, first: Sign, lanes: Sequence[int]) -> tuple[tuple[Sign, Seen], ...]:
        """The other signs that all causes give, but open protection."""
        found, own = [], frozenset(lanes)
        shown = [shown for shown, those in self.patterns.items() if not own.isdisjoint(those)]
        for number, sign in enumerate(self.signs.signs):
            if sign == first or sign.look is Look.PROTECTION:
                continue
            if {one[number] for one in shown} in ({-2}, {-1}, {1}):
                found.append((sign, _whole([self.signs.seen(sign)[i] for i in lanes])))
        return tuple(found)

    def _rests_on(self, lanes: Sequence[int], left: Sequence[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
        """The critical functions that work with no channel to spare after any of the causes, and have
        one to spare in a sound system."""
        sound = len(self.signs.cases) - 1
        for name, function in self.design.functions.items():
            if HazardClass.of(function.loss) < HazardClass.HAZARDOUS or name in left:
                continue
            if len(function.of) <= function.any or not self.state.alive[name]:
                continue
            masks = {
                c: self.works[c] if c in self.works else channel_mask(self.design, self._powered, c)
                for c in function.of
            }
            if sum(mask >> sound & 1 for mask in masks.values()) <= function.any:
                continue
            counts = [[c for c in function.of if masks[c] >> i & 1] for i in lanes]
            least = min(counts, key=len)
            if len(least) == function.any:
                yield name, tuple(least)

    def _resets(self, course: Course, lanes: Sequence[int], left: Sequence[str]) -> Iterator[BreakerReset]:
        """The circuit protection in reach that may be open after a cause, and is closed in the state."""
        begin = course.start()
        for name in self.design.of_kind(p.Protector):
            if name in self.state.state.pulled:
                continue
            part, seen = self.design.parts[name], self.signs.seen(Sign(Look.PROTECTION, name))
            if not any((s := seen[i]) is not None and s[1] > 0 for i in lanes):
                continue
            if not self.facts.protection.can_be_reset(part):
                continue
            retrips = bool(course.retripped(begin, name))
            after = course.then(begin, f"{name} to in", volts=False)
            harms = after is not None and bool(course.loses(begin, after, self._major))
            grave = self._restored_by(name, left)
            action = self._reset_by(name)
            once = bool(grave or action) and not harms
            restores = grave or (self.facts.states.operation.actions[action].restores if action else ())
            yield BreakerReset(name, retrips, once, action, tuple(restores))

    def _restored_by(self, protector: str, left: Sequence[str]) -> tuple[str, ...]:
        """The functions of class major or worse, of those left lost, that work once a protector which
        opened by itself is reset."""
        alone = Failure(f"parts/{protector}", OPEN)
        lane = next((i for i, case in enumerate(self.signs.cases) if failures_of(case) == (alone,)), None)
        if lane is None:
            return ()
        functions = self.design.functions
        return tuple(
            f
            for f in left
            if HazardClass.of(functions[f].loss) >= HazardClass.MAJOR and not self.works[f] >> lane & 1
        )

    def _reset_by(self, protector: str) -> str:
        """The first action of the file for a protector that has opened, which has its effect; "" if
        none."""
        for name, action in self.facts.states.operation.actions.items():
            if protector in action.after_failure_of and action.move.get(protector) in ("in", "closed"):
                effect = self.facts.crew.action_effect(name)
                if effect.possible and effect.settled and not effect.dead:
                    return name
        return ""

    def _indications(self, cards: Sequence[set[int]]) -> Iterator[ServedIndication]:
        """Every sign of the state in each direction in which a failure moves it, with its cards."""
        for number, sign in enumerate(self.signs.signs):
            ways: dict[int, list[int]] = {}
            for shown, lanes in self.patterns.items():
                if shown[number]:
                    ways.setdefault(shown[number], []).extend(lanes)
            if not ways:
                yield ServedIndication(sign, 0, None, (), "no single failure is surely seen by it")
            for by in sorted(ways):
                lanes = ways[by]
                found = tuple(n for n, own in enumerate(cards, 1) if not own.isdisjoint(lanes))
                seen = _whole([self.signs.seen(sign)[i] for i in lanes])
                why = "" if found else "no function is lost or limited, and nothing is to be done"
                yield ServedIndication(sign, by, seen, found, why)


_NONE = HazardClass.NO_SAFETY_EFFECT


def _says_something(card: ChecklistCard) -> bool:
    """Whether a card has more to say than that a unit without a function is out."""
    return bool(
        card.lost
        or card.limited
        or card.unwanted
        or card.steps
        or card.rests_on
        or card.prohibited
        or card.sign.look is Look.MONITOR
        or any(one.once for one in card.resets)
    )


def _gains(limited: Sequence[LimitedFunction]) -> bool:
    """Whether what is done makes a function last longer by a minute, and none shorter."""
    more = [(one.attended or 0.0) - one.unattended for one in limited if one.attended != one.unattended]
    return any(m >= A_MINUTE for m in more) and all(m > -A_MINUTE for m in more)


def _whole(seen: Sequence[Seen]) -> Seen:
    known = [one for one in seen if one is not None]
    return (min(low for low, _ in known), max(high for _, high in known)) if known else None
