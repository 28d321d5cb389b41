"""For how long the functions of a card last on batteries, in the worse of its causes and phases."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from math import isinf

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import bits, serves
from reviewer.analysis.conduction.scenarios import Case, failures_of, mask_of
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.crew.course_choice import ChosenStep
from reviewer.analysis.crew.moves import Aftermath, after_failures
from reviewer.analysis.endurance.failure_endurance import LimitedFunction
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.flight_charges import NOTHING_A
from reviewer.analysis.sources.alternators import no_longer_charged
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import CHARGES, bare, own_battery

#: seconds by which a time must differ to count
A_MINUTE = 60.0
Limited = tuple[tuple[LimitedFunction, ...], str]


class CardMinutes:
    """The minutes after ``cases``, by their numbers. Those of the normal state are computed: of another one
    nothing says how full the batteries are."""

    def __init__(
        self,
        facts: Facts,
        answer: StateAnswer,
        cases: Sequence[Case],
        failed: Aftermath | None = None,
        outcomes: Sequence[Case] = (),
    ):
        """``failed`` has a lane for each case, and one with nothing failed, if they were solved before, and
        ``outcomes`` the cases with the relays that each leaves dropped out."""
        self.facts, self.answer, self.cases = facts, answer, tuple(cases)
        self.design, self.network = facts.design, facts.network
        if failed is None:
            failed = after_failures(self.network, answer.state, (*cases, ()), answer.healthy)
        self._failed, self._solved = failed, failed.solved
        self.outcomes = tuple(outcomes) or self.cases
        self.batteries = [s.element for s in self.network.sources if s.kind == "battery"]
        self.normal = answer.state.name == facts.states.operation.normal
        self._known: dict[tuple[object, ...], Mapping[str, LimitedFunction]] = {}
        #: by what was asked, the cases, and where switches and breakers are
        self._after: dict[tuple[object, ...], Mapping[int, tuple[str, ...]]] = {}

    def limited(
        self,
        lanes: Sequence[int],
        steps: Sequence[ChosenStep],
        shed: tuple[str, ...],
        after: Sequence[ResolvedState],
        notice: LossNotice | None,
        unwanted: bool = False,
    ) -> Limited:
        """The functions that last as long as batteries after any of some cases, each with the least time,
        and the missing data; nothing where an alternator carries all of them. ``after`` are the states
        after the steps, after the actions that are ``shed`` then and after each step before the last;
        ``unwanted`` where a motor runs that nothing commands."""
        states = list(
            {_positions(state): state for state in after if state is not self.answer.state}.values()
        )
        later = [self.on_batteries(lanes, state) for state in states]
        limited = {i for i in lanes if self._at_first[i] or any(now[i] for now in later)}
        try:
            drained = {i for i, batteries in self.discharging(lanes, self.answer.state).items() if batteries}
            for state in states:
                if rest := [i for i in lanes if i not in limited | drained]:
                    drained |= {i for i, batteries in self.discharging(rest, state).items() if batteries}
            limited |= drained
        except NotAssessable as missing:
            if unwanted or self._loses_generation(lanes):
                return (), missing.needs
        chosen = [i for i in lanes if i in limited]
        by_hand = any(step.by_hand for step in steps)
        if not chosen:
            return (), ""
        if not self.normal:
            return (), "minutes are computed for the normal state alone"
        if by_hand:
            shed, notice = (), None
        course = () if notice is None else tuple(step.action for step in steps)
        worst: dict[str, LimitedFunction] = {}
        try:
            for lane in self._distinct(chosen):
                for function, found in self._after_steps(lane, course, shed, notice, states).items():
                    first = found.unattended <= 0 and (found.attended or 0.0) <= 0
                    if not first and not (isinf(found.unattended) and isinf(found.attended or 0.0)):
                        worst[function] = _worse(found, worst.get(function))
        except NotAssessable as missing:
            return (), missing.needs
        if by_hand:
            worst = {f: replace(one, attended=None) for f, one in worst.items()}
        untimed = by_hand and bool(worst)
        return tuple(worst.values()), "`time` of the steps, as actions of the file" if untimed else ""

    def noticed(self, lanes: Sequence[int]) -> LossNotice | None:
        """The alarm that comes as batteries run down after some cases, at its latest; None where one of them
        has none, or figures are missing. It is that of the load analysis."""
        chosen = [i for i in lanes if self._at_first[i]]
        if not self.normal or not chosen or any(map(self.overloaded, lanes)):
            return None
        phases = [flown.phase for flown in self.facts.points.flown_in([self.answer.state.name])]
        try:
            found = [
                self.facts.detection.notice_of(self.facts.endurance.loss_after(self._lasting[i], phase))
                for i in self._distinct(chosen)
                for phase in phases
            ]
        except NotAssessable:
            return None
        known = [one for one in found if one]
        return max(known, key=lambda one: one.seconds) if len(known) == len(found) else None

    @cached_property
    def _at_first(self) -> Mapping[int, tuple[str, ...]]:
        return self.on_batteries(range(len(self.cases)), self.answer.state)

    def at_first(self, lane: int) -> tuple[str, ...]:
        """The functions of class major or worse that work after a case and not without batteries, those
        inside units among them."""
        return self._at_first[lane]

    def on_batteries(self, lanes: Sequence[int], state: ResolvedState) -> Mapping[int, tuple[str, ...]]:
        """The same after some cases in a state of the switches, by case."""
        key = "on batteries", tuple(lanes), _positions(state)
        if key not in self._after:
            self._after[key] = self._on_batteries(lanes, state)
        return self._after[key]

    def _on_batteries(self, lanes: Sequence[int], state: ResolvedState) -> Mapping[int, tuple[str, ...]]:
        lasting = self._lasting_in(lanes, state)
        flat = tuple(Failure(battery, OPEN) for battery in self.batteries)
        flattened = [
            (*case, *(f for f in flat if f.element not in {o.element for o in case})) for case in lasting
        ]
        solved = conduct(self.network, state, (*lasting, *flattened), self.answer.healthy)
        width = len(lasting)
        works = function_masks(self.design, solved.powered, (1 << 2 * width) - 1)
        # a battery inside a unit is one too
        own = {own_battery(element) for element in self.network.self_powered}
        fed = {element: mask for element, mask in solved.powered.items() if element not in own}
        without = function_masks(self.design, fed, (1 << 2 * width) - 1) if own else works
        kept = {f: works[f] & ~(without[f] >> width) for f in self.facts.endurance.watched_functions}
        if lasting_units := self._units_on_own(state, lanes):
            some = {e: mask | lasting_units.get(e, 0) for e, mask in solved.powered.items()}
            for_a_while = function_masks(self.design, some, (1 << 2 * width) - 1)
            kept = {
                f: mask | (for_a_while[f] & ~works[f] if self.answer.alive[f] else 0)
                for f, mask in kept.items()
            }
        return {i: tuple(f for f, mask in kept.items() if mask >> k & 1) for k, i in enumerate(lanes)}

    def _units_on_own(self, state: ResolvedState, lanes: Sequence[int]) -> Mapping[str, int]:
        """The units (elements) that go on by a battery inside them, for however short a time, with the
        lanes in which they have not failed themselves."""
        return {
            element: mask_of(
                [k for k, i in enumerate(lanes) if element not in {f.element for f in self._lasting[i]}],
                len(lanes),
            )
            for element in (c.element for c in self.network.consumers)
            if self.design.works_on_for(bare(element)) and not state.is_off(bare(element))
        }

    def discharging(self, lanes: Sequence[int], state: ResolvedState) -> Mapping[int, tuple[str, ...]]:
        """The batteries that discharge after some cases though a source charges them, as it gives all
        that it can, by case; not those that normal flight discharges as much. Raises NotAssessable."""
        if state is self.answer.state:
            return {i: self._at_once[i] for i in lanes}
        key = "discharging", tuple(lanes), _positions(state)
        if key not in self._after:
            self._after[key] = self._discharging(lanes, state)
        return self._after[key]

    def _discharging(self, lanes: Sequence[int], state: ResolvedState) -> Mapping[int, tuple[str, ...]]:
        cases = (*self._lasting_in(lanes, state), ())
        solved = conduct(self.network, state, cases, self.answer.healthy)
        found = self.facts.points.failed_points_in(replace(self.answer, state=state), cases, solved)
        amps = {b: found.amps(b) for b in self.batteries if b in found.built.sources}
        each = [{b: float(one[k]) for b, one in amps.items()} for k in range(len(lanes))]
        return dict(zip(lanes, self._drained(solved, each), strict=True))

    def leaves_less(self, lanes: Sequence[int], before: ResolvedState, state: ResolvedState) -> bool:
        """Whether moves to another state of the switches leave functions on batteries that an alternator
        kept on, and the first of the gravest of them is lost earlier than without the moves, by a minute,
        if they are made when the recognition time has passed. One of class major may be, if it lasts for
        the declared endurance: a starter that runs on is worse."""
        now, then = self.on_batteries(lanes, before), self.on_batteries(lanes, state)
        more = [i for i in lanes if set(then[i]) - set(now[i])]
        if any(not self.overloaded(i) for i in more):
            return True
        try:
            return any(self._shortens(self._lasting[i], state) for i in self._distinct(more))
        except NotAssessable:
            return True

    def _shortens(self, case: tuple[Failure, ...], state: ResolvedState) -> bool:
        by_class: dict[HazardClass, list[tuple[float, float]]] = {}
        wanted = self.facts.states.operation.endurance
        for flown in self.facts.points.flown_in([self.answer.state.name]):
            for f, times in self.facts.endurance.with_and_without(case, flown.phase, state).items():
                by_class.setdefault(HazardClass.of(self.design.functions[f].loss), []).append(times)
        for hazard, both in sorted(by_class.items(), reverse=True):
            before, after = min(one for one, _ in both), min(other for _, other in both)
            if hazard < HazardClass.HAZARDOUS and wanted is not None and after >= wanted:
                continue
            if before != after and abs(before - after) >= A_MINUTE:
                return after < before
        return False

    def overloaded(self, lane: int) -> bool:
        """Whether a case leaves a source with more than it can give, so that a battery discharges beside
        it; False where the figures for it are missing."""
        try:
            return bool(self._at_once[lane])
        except NotAssessable:
            return False

    @cached_property
    def _at_once(self) -> Sequence[tuple[str, ...]]:
        """The same in the state itself, whose points the monitors were read at."""
        readings, name = self.facts.points.under_failures, self.answer.state.name
        readings.of(self.answer, (*self.cases, ()), self._solved)
        return list(self._drained(self._solved, [readings.given(name, case) for case in self.cases]))

    def _drained(self, solved: Conduction, given: Sequence[Mapping[str, float]]) -> Iterator[tuple[str, ...]]:
        """By lane the batteries that are charged and give more than in the sound system."""
        self.facts.points.under_failures.of(self.answer, ((),), self.answer.healthy)
        usual = self.facts.points.under_failures.given(self.answer.state.name, ())
        without = no_longer_charged(self.network, self.answer.healthy, solved)
        for i, amperes in enumerate(given):
            yield tuple(
                b
                for b, mask in without.items()
                if (solved.alive[b] & ~mask & ~solved.unsettled) >> i & 1
                and amperes.get(b, 0.0) > max(0.0, usual.get(b, 0.0)) + NOTHING_A
            )

    def _loses_generation(self, lanes: Sequence[int]) -> bool:
        """Whether a source that charges works in the sound system and not after one of some cases."""
        before = self.answer.healthy.alive
        given = [s.element for s in self.network.sources if s.kind in CHARGES and before[s.element]]
        return any(not self._solved.alive[e] >> i & 1 for i in lanes for e in given)

    @cached_property
    def _lasting(self) -> Sequence[tuple[Failure, ...]]:
        """The cases with the protection that each opens and the sources that it shorts out for good."""
        now, every = self._failed, (1 << len(self.cases)) - 1
        more: list[dict[str, None]] = [{} for _ in self.cases]
        opened = ((self.network.links[i].element, mask) for i, mask in now.tripped.items())
        for element, mask in (*opened, *now.lost.items()):
            for i in bits(mask & every):
                more[i][element] = None
        return [self._with_open(case, elements) for case, elements in zip(self.outcomes, more, strict=True)]

    @staticmethod
    def _with_open(case: Case, elements: Iterable[str]) -> tuple[Failure, ...]:
        own = failures_of(case)
        known = {f.element for f in own}
        return (*own, *(Failure(e, OPEN) for e in elements if e not in known))

    def _lasting_in(self, lanes: Sequence[int], state: ResolvedState) -> list[tuple[Failure, ...]]:
        """Some of these in a state of the switches, in which relays that have dropped out may be energised
        again."""
        left = {i: self._undropped(i) for i in lanes if self.outcomes[i] is not self.cases[i]}
        if state is self.answer.state or not left:
            return [self._lasting[i] for i in lanes]
        after = replace(self.answer, state=state).conducting_after(tuple(left.values()))
        now = dict(zip(left, map(failures_of, after.cases), strict=True))
        return [now.get(i, self._lasting[i]) for i in lanes]

    def _undropped(self, lane: int) -> tuple[Failure, ...]:
        """A lasting case without the relays that it leaves dropped out."""
        dropped = failures_of(self.outcomes[lane])[len(failures_of(self.cases[lane])) :]
        return tuple(f for f in self._lasting[lane] if f not in dropped)

    def _distinct(self, lanes: Sequence[int]) -> list[int]:
        """Of cases after which the same is live at what takes current, and fed by the same, one."""
        if not lanes:
            return []
        cases = [self._lasting[i] for i in lanes]
        solved = conduct(self.network, self.answer.state, cases, self.answer.healthy)
        users = (*self.network.consumers, *self.network.coils)
        masks = [
            *(solved.live(node) for user in users for node in (*user.plus, *user.minus)),
            *(solved.live(s.field) for s in self.network.sources if s.field is not None),
            *solved.alive.values(),
            *solved.energised.values(),
            *solved.powered.values(),
            *(serves(self.network, solved, source, user) for source in solved.alive for user in users),
        ]
        found: dict[tuple[object, ...], int] = {}
        for k, i in enumerate(lanes):
            found.setdefault(tuple(mask >> k & 1 for mask in masks), i)
        return list(found.values())

    def _after_steps(
        self,
        lane: int,
        course: tuple[str, ...],
        shed: tuple[str, ...],
        notice: LossNotice | None,
        states: Sequence[ResolvedState],
    ) -> Mapping[str, LimitedFunction]:
        """:meth:`_of` a case; where the steps energise a relay again that it leaves dropped out, what follows
        them is that of the case without it, and what is without them that of the case."""
        case = self._lasting[lane]
        found = self._of(case, course, shed, notice)
        (then,) = self._lasting_in([lane], states[0]) if course and states else (case,)
        if then == case:
            return found
        restored = self._of(then, course, shed, notice)
        return {f: replace(one, unattended=found.get(f, one).unattended) for f, one in restored.items()}

    def _of(
        self,
        case: tuple[Failure, ...],
        course: tuple[str, ...],
        shed: tuple[str, ...],
        notice: LossNotice | None,
    ) -> Mapping[str, LimitedFunction]:
        key = case, course, shed, notice
        if key not in self._known:
            state = self.answer.state.name
            each = [
                self.facts.endurance.limited_functions(case, flown.phase, course, shed, notice)
                for flown in self.facts.points.flown_in([state])
            ]
            worst: dict[str, LimitedFunction] = {}
            for found in (one for phase in each for one in phase.values()):
                worst[found.function] = _worse(found, worst.get(found.function))
            self._known[key] = worst
        return self._known[key]


def _positions(state: ResolvedState) -> Hashable:
    """Where switches and breakers are; all else is the same in the states that moves lead to."""
    return frozenset(state.switches.items()), frozenset(state.pulled)


def _worse(one: LimitedFunction, other: LimitedFunction | None) -> LimitedFunction:
    """The less of both times; the later actions of both, each at its earliest and at the highest reading:
    without one of them a function may be lost earlier."""
    if other is None:
        return one
    later = {move.actions: move for move in other.later}
    for move in one.later:
        known = later.get(move.actions, move)
        first = min(move, known, key=lambda m: m.seconds)
        both = [m.volts for m in (move, known) if m.volts is not None and m.monitor == first.monitor]
        later[move.actions] = replace(first, volts=max(both, default=None))
    return LimitedFunction(
        one.function,
        min(one.unattended, other.unattended),
        min(one.attended or 0.0, other.attended or 0.0),
        tuple(later.values()),
    )
