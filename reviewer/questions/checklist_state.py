"""What the checklists of a state rest on: its failures by what is seen of them, what works after each,
and what the crew can do."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import join, pick_each
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.conduction.states import function_masks
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.crew.by_hand import hand_moves
from reviewer.analysis.crew.course import Course
from reviewer.analysis.crew.left_ways import may_work
from reviewer.analysis.crew.moves import Aftermath, Begun, after_failures, some
from reviewer.analysis.operating_point.remote_sensing import uncontrolled
from reviewer.analysis.sources.alternators import carrying, no_longer_charged
from reviewer.model.review import HazardClass
from reviewer.questions.checklist_minutes import CardMinutes
from reviewer.questions.diagnosis import TroubleShooting
from reviewer.questions.first_signs import FirstSigns
from reviewer.questions.state_signs import Look


class ChecklistState:
    """A state that is solved under every single failure; a lane is one of them."""

    def __init__(self, shooting: TroubleShooting):
        self.facts = facts = shooting.facts
        self.design, self.network = facts.design, facts.network
        self.signs, self.state = shooting.signs, shooting.answer
        self.first = FirstSigns(facts, self.signs)
        self.with_protection = self._with_alarms(shooting.patterns)
        self.patterns = self._visible(self.with_protection)
        self.hand = hand_moves(self.design, self.state.state, pulled=True)
        functions = self.design.functions
        self.grave = sorted(functions, key=lambda f: -HazardClass.of(functions[f].loss))
        self.critical = [f for f in functions if HazardClass.of(functions[f].loss) >= HazardClass.HAZARDOUS]
        cases, outcomes = self.signs.cases[:-1], self.signs.outcomes[:-1]
        self.minutes = CardMinutes(facts, self.state, cases, self.failed, outcomes)

    def _with_alarms(
        self, patterns: Mapping[tuple[int, ...], Sequence[int]]
    ) -> dict[tuple[int, ...], list[int]]:
        """The patterns with the alarms that come with a case, where a reading alone may be that of a sound
        system while batteries are recharged."""
        found: dict[tuple[int, ...], list[int]] = {}
        alarms = [(n, sign) for n, sign in enumerate(self.signs.signs) if self.first.may_alarm(sign)]
        for shown, lanes in patterns.items():
            unmoved = [(n, sign) for n, sign in alarms if not shown[n]]
            for i in lanes:
                now = list(shown)
                for n, sign in unmoved:
                    now[n] = self.first.alarmed(sign, i)
                found.setdefault(tuple(now), []).append(i)
        return found

    def _visible(self, patterns: Mapping[tuple[int, ...], Sequence[int]]) -> dict[tuple[int, ...], list[int]]:
        """The patterns without open protection, which may be out of sight; where nothing else shows,
        with it. Causes that look alike then have one course."""
        hidden = [sign.look is Look.PROTECTION for sign in self.signs.signs]
        found: dict[tuple[int, ...], list[int]] = {}
        for shown, lanes in patterns.items():
            seen = tuple(0 if off else by for by, off in zip(shown, hidden, strict=True))
            found.setdefault(seen if any(seen) else shown, []).extend(lanes)
        return found

    @cached_property
    def works(self) -> Mapping[str, int]:
        """By function the cases after which it works."""
        return function_masks(self.design, self.powered, (1 << len(self.signs.cases)) - 1)

    def carried_by(self, element: str) -> int:
        """The cases after which a function of the sound state works, and would not without a load: its
        other channels are lost, and the load has taken over."""
        every = (1 << len(self.signs.cases)) - 1
        without = function_masks(self.design, {**self.powered, element: 0}, every)
        kept = [f for f in self.grave if self.state.alive[f]]
        return join(self.works[f] & ~without[f] for f in kept)

    @cached_property
    def powered(self) -> Mapping[str, int]:
        """By load the lanes in which it works."""
        return less(self.signs.solved.powered, self.signs.low)

    @cached_property
    def major(self) -> list[str]:
        """The functions of class major or worse, the gravest first."""
        functions = self.design.functions
        return [f for f in self.grave if HazardClass.of(functions[f].loss) >= HazardClass.MAJOR]

    def unregulated(self, lanes: Sequence[int]) -> tuple[str, ...]:
        """The alternators (elements) that are driven to full field after all of some cases and not stopped
        by a trip: their regulator has failed full on, or has lost a lead without which it drives them so."""
        return tuple(e for e, mask in self._at_full_field.items() if all(mask >> i & 1 for i in lanes))

    @cached_property
    def _at_full_field(self) -> Mapping[str, int]:
        """Alternator -> the cases after which it supplies a load or charges a battery and nothing regulates
        it; not one that nothing regulates in the sound system."""
        solved, sound = self.signs.solved, len(self.signs.cases) - 1
        found = uncontrolled(self.design, self.network, solved, self.signs.outcomes)
        return {
            e: mask & carrying(self.network, solved, e) for e, mask in found.items() if not mask >> sound & 1
        }

    def turned_off(self, lanes: Sequence[int], before: Conduction, after: Conduction) -> dict[str, int]:
        """By alternator (element) which of some cases, lanes of what conducts ``before`` and ``after`` moves,
        leave it on line and regulated until the moves take it off line."""
        found = {}
        for element in (s.element for s in self.network.sources if s.kind == "alternator"):
            free = self._at_full_field.get(element, 0)
            was, still = (carrying(self.network, c, element) for c in (before, after))
            off = was & ~still & ~before.unsettled & ~after.unsettled
            if mask := sum(1 << k for k, i in enumerate(lanes) if off >> k & 1 and not free >> i & 1):
                found[element] = mask
        return found

    @cached_property
    def uncharged(self) -> int:
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
            function: self.facts.crew.ways_back(function, self.state.state.name, failures, self._begun)
            for function in self.grave
            if (failures := tuple(dict.fromkeys(self._losing(function))))
        }

    @cached_property
    def failed(self) -> Aftermath:
        """What is after each case, before any move."""
        solved = self.signs.solved
        return after_failures(self.network, self.state.state, self.signs.outcomes, self.state.healthy, solved)

    @cached_property
    def _begun(self) -> Begun:
        lane_of = {failures_of(case)[0]: i for i, case in enumerate(self.signs.cases) if case}
        left = may_work(self.network, self.state.state, self.signs.cases)
        return Begun(lane_of, self.failed, self.powered, left, {})

    def _losing(self, function: str) -> Iterator[Failure]:
        if self.state.alive[function]:
            for i, case in enumerate(self.signs.cases):
                if not self.works[function] >> i & 1:
                    yield failures_of(case)[0]

    def course(self, lanes: Sequence[int], low: Mapping[str, int] | None = None) -> Course:
        """What the crew can do after all of some failures, a lane each; ``low`` are the lanes in which loads
        have too little voltage, where not those of the failures."""
        cases = [self.signs.cases[i] for i in lanes]
        if low is None:
            low = {load: mask for load, mask in pick_each(self.signs.low, lanes).items() if mask}
        failed, dropping = some(self.failed, lanes), any(map(self.drops_out, lanes))
        return Course(self.hand.design, self.network, self.state, cases, low, failed, dropping)

    def drops_out(self, lane: int) -> bool:
        """Whether a relay drops out after a case, with too few volts at its coil."""
        return self.signs.outcomes[lane] is not self.signs.cases[lane]
