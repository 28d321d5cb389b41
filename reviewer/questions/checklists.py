"""Checklists for every indication in a state: what it means, what works and for how long, what
restores, what not to do.

Single failures that show the same have one course of action. A card is of all failures with the same
first indication that lose the same and are dealt with alike. What it claims holds after every one of
them, whichever protective device clears a short.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from math import inf

from reviewer.analysis.conduction.alike_cases import alike_cases
from reviewer.analysis.conduction.failure_modes import STAYS
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.scenarios import failures_of, mask_of
from reviewer.analysis.crew.course import Course, CourseStep, Moves
from reviewer.analysis.crew.course_choice import (
    LostByMoves,
    MadeMoves,
    Prohibition,
    made_moves,
    prohibitions,
    usually_lost,
)
from reviewer.analysis.endurance.failure_endurance import LimitedFunction
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.checklist_actions import CardActions
from reviewer.questions.checklist_cards import ChecklistCard, Checklists, ServedIndication
from reviewer.questions.checklist_groups import SameCard, SameCards
from reviewer.questions.checklist_minutes import A_MINUTE
from reviewer.questions.checklist_state import ChecklistState
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.failure_causes import causes_of
from reviewer.questions.meter_ranges import Seen, spanned
from reviewer.questions.state_signs import Look, Sign
from reviewer.questions.told_apart import told_apart

#: moves that are prohibited on one card
MOST_PROHIBITED = 12


def checklists_of(facts: Facts, state: str | None = None) -> Checklists:
    """The cards of a state, the normal state if None. Raises NoAnswer without an operation."""
    return checklists(TroubleShooting(facts, state))


def checklists(shooting: TroubleShooting) -> Checklists:
    """The cards of a state that is solved."""
    return _Checklists(ChecklistState(shooting)).answer()


class _Checklists:
    def __init__(self, of: ChecklistState):
        self.of, self.groups, self.actions = of, SameCards(of), CardActions(of)

    def answer(self) -> Checklists:
        """All cards and indications."""
        groups: dict[tuple[object, ...], list[SameCard]] = {}
        for shown, together in self.of.patterns.items():
            for lanes, harmed in self.groups.parted(shown, together):
                one = self.groups.alike(shown, lanes)
                key = (
                    *(one.first, one.lost, one.unwanted, one.left, one.steps, one.rests_on),
                    *(one.on_batteries, harmed, self._to_shed(one.lanes)),
                )
                groups.setdefault(key, []).append(one)
        made = [(self._card(alike), alike) for alike in groups.values()]
        kept = [(card, alike) for card, alike in made if _says_something(card)]
        kept.sort(
            key=lambda one: (-one[0].hazard, self.of.first.rank(one[0].sign, one[0].by, one[1][0].lanes))
        )
        causes = [[i for some in alike for i in some.lanes] for _, alike in kept]
        return Checklists(
            self.of.state.state.name,
            self.of.state.switches,
            told_apart(self.of.first, [card for card, _ in kept], causes),
            tuple(
                self._indications(
                    [{i for s in alike for i in s.lanes} for _, alike in kept], self._alarms(kept)
                )
            ),
            len(self.of.signs.cases) - 1 - sum(map(len, self.of.patterns.values())),
        )

    def _card(self, alike: Sequence[SameCard]) -> ChecklistCard:
        """The card of failures that are dealt with alike."""
        one, lanes = alike[0], sorted(i for some in alike for i in some.lanes)
        sign, by = one.first
        course = self.of.course(lanes)
        now = course.start()
        between = []
        for step in one.steps:
            between.append(now.state)
            now = course.then(now, step.action) or now
        overloaded = [i for i in lanes if self.of.minutes.overloaded(i)]
        #: the alternator charges again as soon as a step has stopped what runs
        stopped = any(step.stops for step in one.steps)
        relieved = stopped and not any(self.of.uncharged >> i & 1 for i in lanes)
        flat = self._flat(lanes)
        shed, harmful, last = self.actions.shed(
            course, now, lanes if flat or one.on_batteries or one.steps or overloaded else ()
        )
        notice = first = self.of.first.notice(sign, by, lanes)
        if notice is None and shed:
            notice = self.of.minutes.noticed(lanes)
        runs = bool(one.unwanted)
        limited, needs = self.of.minutes.limited(
            lanes, one.steps, shed, (now.state, last, *between), notice, runs
        )
        gains, harmless = _gains(limited), not _harms(limited)
        unalarmed = False
        if (shed or limited) and not gains and first is None:
            # nothing is promised of a sign without an alarm in time, but what is done at once is computed
            at_once = LossNotice(sign.name, 0.0)
            sooner, _ = self.of.minutes.limited(
                lanes, one.steps, shed, (now.state, last, *between), at_once, runs
            )
            gains = unalarmed = _gains(sooner)
            limited = sooner if gains else limited
        if shed and limited and not gains:
            limited, needs = self.of.minutes.limited(
                lanes, one.steps, (), (now.state, *between), notice, runs
            )
        functions = {f: HazardClass.of(self.of.design.functions[f].loss) for f in self.of.grave}
        worst = max([functions[f] for f in (*one.lost, *(c.function for c in limited))], default=_NONE)
        if one.overvoltage:
            worst = max(worst, HazardClass.HAZARDOUS)
        going = [f for f in self.of.facts.endurance.watched_functions if self.of.state.alive[f]]
        bounded = {c.function for c in limited}
        if needs:
            idle = self.of.facts.states.without_electricity(self.of.state)
            waiting = [f for f in one.on_batteries or going if f not in bounded and not idle[f]]
            needs = f"{', '.join(waiting)}: {needs}" if waiting else needs
            bounded |= set(waiting)
        prohibited = self._prohibited(course, now, lanes)
        return ChecklistCard(
            sign=sign,
            by=by,
            seen=spanned(self.of.first.shown(sign, by, lanes)),
            also=self._also(sign, lanes),
            causes=causes_of(self.of.signs, lanes),
            outcomes=tuple(failures_of(self.of.signs.cases[i])[0] for i in lanes),
            lost=tuple((f, functions[f]) for f in one.lost),
            unwanted=one.unwanted,
            overvoltage=one.overvoltage,
            steps=one.steps,
            shed=shed if gains or (flat and harmless and not relieved) else (),
            left=one.left,
            limited=limited,
            unlimited=tuple(f for f in going if f not in one.left and f not in bounded),
            rests_on=one.rests_on,
            resets=tuple(self.actions.resets(course, lanes, one.left)),
            prohibited=tuple(dict.fromkeys((*(harmful if limited else ()), *prohibited)))[:MOST_PROHIBITED],
            hazard=worst,
            needs=needs,
            overloaded=len(overloaded) == len(lanes),
            unalarmed=unalarmed,
            alarm=notice if gains and first is None and not unalarmed else None,
            sensed=(
                *self._sensed(sign, by, [n for n in one.unwanted if n not in one.overvoltage]),
                *self._absent(lanes),
            ),
            misplaced=self._misplaced(lanes),
            stop_tried=one.stop_tried,
        )

    def _sensed(self, sign: Sign, by: int, unwanted: Sequence[str]) -> tuple[tuple[str, str], ...]:
        """What gives a sign with nothing failed: switches that no hand moves, each with its position."""
        meter = self.of.facts.detection.meters.get(sign.name) if sign.look is Look.MONITOR else None
        shown = [bare(meter.instrument)] if meter and meter.lamp else []
        if by <= 0 or not (shown or sign.look is Look.UNIT):
            return ()
        units = [sign.name] if sign.look is Look.UNIT else shown
        loads = dict.fromkeys((*units, *map(bare, unwanted)))
        return self.of.facts.states.powered_by_sensors(self.of.state, loads)

    def _absent(self, lanes: Sequence[int]) -> Iterator[tuple[str, str]]:
        """Switches that follow a part, each with its position at rest, where that is among some causes: it
        stands there with nothing electrical failed as well, as an oil pressure switch without pressure."""
        for failure in (failures_of(self.of.signs.cases[i])[0] for i in lanes):
            part = self.of.design.parts.get(bare(failure.element)) if failure.mode is STAYS else None
            if (
                isinstance(part, p.Switch)
                and part.follows
                and part.operated_by not in ("voltage", "current")
                and failure.position == part.at_rest
            ):
                yield bare(failure.element), failure.position

    def _misplaced(self, lanes: Sequence[int]) -> tuple[tuple[str, str], ...]:
        """Where all causes are switches of the crew that stand elsewhere than in the state: each with its
        position there. One that was moved shows the same as one that has failed."""
        failures = [failures_of(self.of.signs.cases[i])[0] for i in lanes]
        hand = self.of.design.hand_switches
        if any(f.mode is not STAYS or bare(f.element) not in hand for f in failures):
            return ()
        positions = self.of.state.state.switches
        return tuple((name, positions[name]) for name in dict.fromkeys(bare(f.element) for f in failures))

    def _flat(self, lanes: Sequence[int]) -> bool:
        """Whether no battery is charged, or one discharges beside its alternator, after all of some cases."""
        return all(self.of.uncharged >> i & 1 or self.of.minutes.overloaded(i) for i in lanes)

    def _to_shed(self, lanes: Sequence[int]) -> bool:
        """Whether a shed plan is for these cases. They share no card with a reading that is false."""
        return bool(self.of.facts.states.operation.load_shedding) and self._flat(lanes)

    @cached_property
    def _moves(self) -> list[Moves]:
        """The moves that may be prohibited: actions of the file and switches to another position."""
        operation = self.of.facts.states.operation
        actions = [tuple(action.move.items()) for action in operation.actions.values()]
        single = [(move,) for move in self.of.hand.moves.values() if move[1] not in ("pulled", "in")]
        return list(dict.fromkeys((*single, *actions)))

    @cached_property
    def _usual(self) -> LostByMoves:
        return usually_lost(self.of.course((0,)), self._moves)

    @cached_property
    def _at_first(self) -> Sequence[MadeMoves]:
        """What the moves do after each case, before any other: solved once for cases that are alike."""
        cases, works = self.of.signs.cases, self.of.works
        groups = alike_cases(self.of.network, cases)
        course = self.of.course([i for i, *_ in groups], low={})
        members = [mask_of(group, len(cases)) for group in groups]

        def of_all(mask: int) -> int:
            return join(members[k] for k in bits(mask))

        found = []
        for one in made_moves(course, course.start(), self._moves):
            loses = {f: here for f, mask in one.loses.items() if (here := of_all(mask) & works[f])}
            found.append(MadeMoves(one.moves, loses, {pair: of_all(mask) for pair, mask in one.ties.items()}))
        return found

    def _prohibited(self, course: Course, now: CourseStep, lanes: Sequence[int]) -> tuple[Prohibition, ...]:
        """The moves that are not to be made after a course."""
        if now is course.start():
            return prohibitions(self._at_first, mask_of(lanes, max(lanes) + 1), self._usual)
        return prohibitions(made_moves(course, now, self._moves), course.every, self._usual)

    def _also(self, first: Sign, lanes: Sequence[int]) -> tuple[tuple[Sign, Seen], ...]:
        """The other signs that all causes give, but open protection."""
        found, own = [], frozenset(lanes)
        shown = [shown for shown, those in self.of.patterns.items() if not own.isdisjoint(those)]
        for number, sign in enumerate(self.of.signs.signs):
            if not shown[0][number] or sign == first or sign.look is Look.PROTECTION:
                continue
            if {one[number] for one in shown} in ({-2}, {-1}, {1}):
                every = self.of.signs.seen(sign)
                found.append((sign, spanned([every[i] for i in lanes])))
        return tuple(found)

    def _alarms(
        self, cards: Iterable[tuple[ChecklistCard, object]]
    ) -> Mapping[tuple[str, int], Sequence[int]]:
        """The numbers of the cards that begin with an alarm that comes later, by its monitor and by how that
        then reads."""
        found: dict[tuple[str, int], list[int]] = {}
        for number, (card, _) in enumerate(cards, 1):
            if card.first_seen_by_alarm and card.alarm:
                monitor = card.alarm.monitor
                by = -1 if self.of.facts.points.alarm_sign(monitor) > 0 else 1
                found.setdefault((monitor, by), []).append(number)
        return found

    def _indications(
        self, cards: Sequence[set[int]], alarms: Mapping[tuple[str, int], Sequence[int]]
    ) -> Iterator[ServedIndication]:
        """Every sign of the state in each direction in which a failure moves it, with its cards."""
        for number, sign in enumerate(self.of.signs.signs):
            ways: dict[int, list[int]] = {}
            for shown, lanes in self.of.with_protection.items():
                if shown[number]:
                    ways.setdefault(shown[number], []).extend(lanes)
            for name, by in alarms if sign.look is Look.MONITOR else ():
                if name == sign.name:
                    ways.setdefault(by, [])
            if not ways:
                yield ServedIndication(sign, 0, None, (), "no single failure is surely seen by it")
            for by in sorted(ways):
                lanes = ways[by]
                later = alarms.get((sign.name, by), ()) if sign.look is Look.MONITOR else ()
                begun = {n for n, own in enumerate(cards, 1) if not own.isdisjoint(lanes)}
                found = tuple(sorted({*begun, *later}))
                seen = spanned(self.of.first.shown(sign, by, lanes)) if lanes and not later else _ANY
                why = "" if found else "no function is lost or limited, and nothing is to be done"
                yield ServedIndication(sign, by, seen, found, why)


_NONE = HazardClass.NO_SAFETY_EFFECT
#: what is seen of an alarm that no failure sets off at once
_ANY: Seen = (-inf, inf)


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
    return any(m >= A_MINUTE for m in _more(limited)) and not _harms(limited)


def _harms(limited: Sequence[LimitedFunction]) -> bool:
    """Whether what is done makes a function last shorter by a minute."""
    return any(m <= -A_MINUTE for m in _more(limited))


def _more(limited: Sequence[LimitedFunction]) -> list[float]:
    return [(one.attended or 0.0) - one.unattended for one in limited if one.attended != one.unattended]
