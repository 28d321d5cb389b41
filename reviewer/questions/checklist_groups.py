"""Failures that one card of a checklist serves: they look the same, lose the same, and are dealt with
alike."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property, partial

from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.conduction.states import channel_mask, loads_of
from reviewer.analysis.crew.course_choice import ChosenStep, CourseChoice
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.checklist_state import ChecklistState
from reviewer.questions.state_signs import Look, Sign


@record
class SameCard:
    """Failures with one pattern of signs, by their lanes: the first sign with how it moved, the
    functions that any of them loses, what runs unwanted, of that the alternators that nothing regulates, the
    course; ``stop_tried`` are the moves in a row that were tried to stop what runs."""

    first: tuple[Sign, int]
    lanes: tuple[int, ...]
    lost: tuple[str, ...]
    unwanted: tuple[str, ...]
    overvoltage: tuple[str, ...]
    steps: tuple[ChosenStep, ...]
    left: tuple[str, ...]
    rests_on: tuple[tuple[str, tuple[str, ...]], ...]
    on_batteries: tuple[str, ...]
    stop_tried: int = 0


class SameCards:
    """What the failures of one pattern of signs have in common."""

    def __init__(self, of: ChecklistState):
        self.of = of

    def parted(self, shown: tuple[int, ...], lanes: Sequence[int]) -> Iterator[tuple[Sequence[int], bool]]:
        """Failures of a pattern that set off the same alarms; where the shed plan harms after some only,
        those that a reading tells from all of these apart from the rest, with whether any is harmed."""
        by_alarm: dict[tuple[Sign, ...], list[int]] = {}
        for i in lanes:
            by_alarm.setdefault(self.of.first.ringing(shown, i), []).append(i)
        for alike in by_alarm.values():
            harmed = self._harmed_by_shedding(alike)
            clear = [i for i in alike if self._reads_apart(i, harmed)] if harmed else list(alike)
            rest = [i for i in alike if i not in clear]
            yield from (some for some in ((clear, False), (rest, True)) if some[0])

    def _harmed_by_shedding(self, lanes: Sequence[int]) -> list[int]:
        """Those of some cases with a battery that discharges after which an action of the shed plan loses
        a function of class major or worse, or takes an alternator off line that works."""
        if not any(self.of.minutes.at_first(i) or self.of.minutes.overloaded(i) for i in lanes):
            return []
        if any(map(self.of.drops_out, lanes)):
            return self._harmed(lanes)
        return [i for i in lanes if i in self._harmed_alone]

    @cached_property
    def _harmed_alone(self) -> frozenset[int]:
        """:meth:`_harmed` of all cases after which no relay drops out, solved at once."""
        every = (i for lanes in self.of.patterns.values() for i in lanes)
        return frozenset(self._harmed([i for i in every if not self.of.drops_out(i)]))

    def _harmed(self, lanes: Sequence[int]) -> list[int]:
        """Those of some cases after which an action of the shed plan loses a function of class major or
        worse, or takes an alternator off line that works."""
        course = self.of.course(lanes)
        begin, harm = course.start(), 0
        for action in self.of.facts.states.operation.load_shedding:
            after = course.then(begin, action, volts=False)
            if after is not None:
                harm |= join(begin.works[f] & ~after.works[f] for f in self.of.major)
                harm |= join(self.of.turned_off(lanes, begin.now.solved, after.now.solved).values())
        return [i for k, i in enumerate(lanes) if harm >> k & 1]

    def _reads_apart(self, lane: int, others: Sequence[int]) -> bool:
        """Whether a monitor reads more after a case than after all of some others, or less."""
        monitors = [sign for sign in self.of.signs.signs if sign.look is Look.MONITOR]
        for seen in map(self.of.signs.seen, monitors):
            one, known = seen[lane], [s for s in (seen[i] for i in others) if s is not None]
            if one is None or len(known) < len(others):
                continue
            if one[1] < min(low for low, _ in known) or one[0] > max(high for _, high in known):
                return True
        return False

    def alike(self, shown: tuple[int, ...], lanes: Sequence[int]) -> SameCard:
        """The failures of a pattern, with what restores after them."""
        alive = [f for f in self.of.grave if self.of.state.alive[f]]
        lost = tuple(f for f in alive if any(not self.of.works[f] >> i & 1 for i in lanes))
        free = self.of.unregulated(lanes)
        unwanted = free + tuple(
            f"parts/{sign.name}"
            for sign, by in zip(self.of.signs.signs, shown, strict=True)
            if sign.look is Look.UNIT and by > 0 and self._motor(sign.name) and self._idle(sign.name, lanes)
        )
        steps: tuple[ChosenStep, ...] = ()
        left, tried = lost, 0
        if lost or unwanted:
            choice = CourseChoice(self.of.course(lanes), self.of.hand, unwanted)
            for function in lost:
                every = self.of.ways[function]
                ways = (way for i in lanes for way in every.get(failures_of(self.of.signs.cases[i])[0], ()))
                choice.restore(function, list(ways))
            harmless = not free and all(map(self._may_run, unwanted))
            harmless = harmless and not any(map(self.of.minutes.overloaded, lanes))
            leaves_less = partial(self.of.minutes.leaves_less, lanes)
            choice.stop((lambda *_: False) if free else leaves_less, harmless)
            steps, tried = tuple(choice.steps), choice.tried
            left = tuple(f for f in alive if choice.now.works[f] != choice.course.every)
        on_batteries = {f for i in lanes for f in self.of.minutes.at_first(i)}
        return SameCard(
            self.of.first.of(shown, lanes),
            tuple(lanes),
            lost,
            unwanted,
            free,
            steps,
            left,
            tuple(self._rests_on(lanes, left)),
            tuple(f for f in self.of.grave if f in on_batteries),
            tried,
        )

    def _may_run(self, element: str) -> bool:
        """Whether a motor may run for as long as it does, by the file."""
        return bool(self.of.design.parts[bare(element)].duty == "continuous")

    def _motor(self, name: str) -> bool:
        part = self.of.design.parts[name]
        return isinstance(part, p.Load) and part.type in ("motor", "starter")

    def _idle(self, name: str, lanes: Sequence[int]) -> bool:
        """Whether a load has not taken over a function of the sound state after any of some cases, and is
        no spare channel of a critical one, as a fuel pump, if it may run on: such a one is not stopped."""
        alive = [f for f in self.of.critical if self.of.state.alive[f]]
        brief = self.of.design.parts[name].duty == "intermittent"
        if not brief and any(name in loads_of(self.of.design, f) for f in alive):
            return False
        carried = self.of.carried_by(f"parts/{name}")
        return not any(carried >> i & 1 for i in lanes)

    def _rests_on(self, lanes: Sequence[int], left: Sequence[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
        """The critical functions that work with no channel to spare after any of the causes, and have
        one to spare in a sound system, or another that has taken over."""
        sound = len(self.of.signs.cases) - 1
        for name in self.of.critical:
            if name in left:
                continue
            function = self.of.design.functions[name]
            if len(function.of) <= function.any or not self.of.state.alive[name]:
                continue
            masks = {
                c: self.of.works[c]
                if c in self.of.works
                else channel_mask(self.of.design, self.of.powered, c)
                for c in function.of
            }
            counts = [[c for c in function.of if masks[c] >> i & 1] for i in lanes]
            least = min(counts, key=len)
            usual = [c for c in function.of if masks[c] >> sound & 1]
            spare = len(usual) > function.any or not set(least) <= set(usual)
            if len(least) == function.any and spare:
                yield name, tuple(least)
