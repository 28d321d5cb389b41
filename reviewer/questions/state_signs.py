"""What a crew can see of a state under each of some cases of failure: readings of monitors, units
dark or working, circuit protection open; and what a voltmeter reads at a terminal with the switches
as they are and the engine stopped.

Circuit protection that a short has opened in the state stays open in what is looked at later. Where
the file lacks the figures for volts, a terminal or a voltmeter is live or dead.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import field
from enum import StrEnum
from functools import cached_property
from itertools import chain
from math import inf

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.detection.reading_limits import LIVE_FROM
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.failure_readings import CaseReading
from reviewer.analysis.operating_point.remote_sensing import uncontrolled
from reviewer.analysis.operating_point.tolerances import (
    DEAD,
    NOTHING,
    VOLTS_STEP,
    Spread,
    Within,
    usual_error,
)
from reviewer.analysis.sources.alternators import carrying
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.network.meters import Meter, charging_sign
from reviewer.questions.effects import protection_opened
from reviewer.questions.failure_runs import FailureRuns
from reviewer.questions.isolation_looks import IsolationLooks
from reviewer.questions.meter_ranges import BLANK, Seen, SolvedCases, widened


class Look(StrEnum):
    """What is looked at."""

    MONITOR = "monitor"
    UNIT = "unit"
    PROTECTION = "circuit protection"
    TERMINAL = "terminal"
    ISOLATION = "isolation"


@record
class Sign:
    """Something that can be looked at: a monitor, whether a unit works, whether a breaker or fuse is
    open, the volts of a terminal with the engine stopped, or the ohms from a terminal to ground with the
    system off and a wire taken off it. ``state`` is another state than that
    in which the failure came, to which the switches are moved afterwards; "" for that one. ``charges`` is
    of an ammeter: :func:`charging_sign`."""

    look: Look
    name: str
    state: str = ""
    charges: int = field(default=0, compare=False)

    def __str__(self) -> str:
        return f"{self.state}:{self.name}" if self.state else self.name


#: which of dark and working, closed and open, dark and lit: one of the two, or not known which
NO, YES, EITHER = (0.0, 0.0), (1.0, 1.0), (0.0, 1.0)


class StateSigns:
    """The signs of ``answer`` under each of ``cases``; the last lane is that with nothing failed."""

    def __init__(self, facts: Facts, answer: StateAnswer, cases: Sequence[Case]):
        self.facts, self.answer = facts, answer
        self.cases: tuple[Case, ...] = (*cases, ())
        after = answer.conducting_after(self.cases)
        #: the cases with the relays that drop out as they leave them too few volts, and what conducts then
        self.outcomes, self.solved = after.cases, after.conducts
        self._seen: dict[Sign, tuple[Seen, ...]] = {}
        self._later: dict[str, StateSigns] = {}
        #: what a monitor may read after cases that read alike, by itself
        self._limits: dict[tuple[str, CaseReading], Within | None] = {}

    @cached_property
    def signs(self) -> tuple[Sign, ...]:
        """All that the crew can see without a tool."""
        monitors = (self.monitor(n) for n, m in self._meters.items() if not m.unknown)
        powered = self.solved.powered
        units = (
            Sign(Look.UNIT, bare(e))
            for e in dict.fromkeys(
                chain(
                    (c.element for c in self.facts.network.consumers),
                    (m.element for m in self.facts.network.magnetos),
                )
            )
            if e in powered
        )
        protection = (Sign(Look.PROTECTION, n) for n in self.facts.design.of_kind(p.Protector))
        return (*monitors, *units, *protection)

    def monitor(self, name: str, state: str = "") -> Sign:
        """A monitor as it is looked at in a state."""
        charges = charging_sign(self.facts.network, self._meters[name])
        return Sign(Look.MONITOR, name, state, charges)

    def seen(self, sign: Sign) -> tuple[Seen, ...]:
        """What is seen of a sign under each case."""
        if sign not in self._seen and sign.state:
            self._seen[sign] = self.later(sign.state).seen(Sign(sign.look, sign.name))
        if sign not in self._seen:
            ask = {
                Look.MONITOR: self._monitor,
                Look.UNIT: self._unit,
                Look.PROTECTION: self._protection,
                Look.TERMINAL: self._terminal,
                Look.ISOLATION: self._isolation,
            }[sign.look]
            found = list(ask(sign.name))
            for i in bits(self.solved.unsettled):
                found[i] = None
            self._seen[sign] = tuple(found)
        return self._seen[sign]

    def later(self, state: str) -> StateSigns:
        """The signs of another state after the same cases, to which the switches are moved."""
        if state not in self._later:
            self._later[state] = StateSigns(self.facts, self.facts.states.answer(state), self._lasting[:-1])
        return self._later[state]

    @cached_property
    def _lasting(self) -> tuple[Case, ...]:
        """The cases with the protection open that they have opened."""
        by_lane: list[list[Failure]] = [[] for _ in self.cases]
        for element, mask in self._opened.items():
            for i in bits(mask):
                by_lane[i].append(Failure(element, OPEN))
        return tuple((*failures_of(case), *opened) for case, opened in zip(self.cases, by_lane, strict=True))

    def missing(self, sign: Sign) -> str:
        """What the file lacks for the numbers of a sign; "" where they are solved."""
        if sign.look in (Look.UNIT, Look.PROTECTION) or self.seen(sign)[-1] is not None:
            return ""
        try:
            self.facts.points.operating_point(self.answer.state.name)
        except NotAssessable as missing:
            return missing.needs
        return "more than one path through what it senses"

    @property
    def _meters(self) -> Mapping[str, Meter]:
        return self.facts.detection.meters

    def _unit(self, name: str) -> Iterator[Seen]:
        element = f"parts/{name}"
        powered, low = self.solved.powered[element], self.low.get(element, 0)
        # with less than its minimum it may go on or not; without a feed it does for as long as a battery
        # inside it lasts
        open_ended = powered & low
        if self.facts.design.works_on_for(name) > 0 and not self.answer.state.is_off(name):
            open_ended |= ~powered & ~self._of_element.get(element, 0)
        every = (1 << len(self.cases)) - 1
        dark = every & ~powered
        usual, other, rare = (
            (NO, YES, every & powered) if powered.bit_count() < dark.bit_count() else (YES, NO, dark)
        )
        found = [usual] * len(self.cases)
        for i in bits(rare):
            found[i] = other
        for i in bits(open_ended & every):
            found[i] = EITHER
        yield from found

    @cached_property
    def low(self) -> Mapping[str, int]:
        """By load the cases in which it has power and less than its minimum voltage."""
        return self.answer.low(self.outcomes, self.solved, each=True)

    @cached_property
    def _opened(self) -> Mapping[str, int]:
        return protection_opened(self.answer, self.solved)

    def _protection(self, name: str) -> Iterator[Seen]:
        element = f"parts/{name}"
        found = [YES if name in self.answer.state.pulled else NO] * len(self.cases)
        for i in bits(self._opened.get(element, 0) | self._opened_first.get(element, 0)):
            found[i] = YES
        for i in bits(self._of_element.get(element, 0)):
            if any(f.element == element and f.mode == OPEN for f in failures_of(self.cases[i])):
                found[i] = EITHER  # it may have tripped or blown, or be open inside
        yield from found

    @cached_property
    def _of_element(self) -> Mapping[str, int]:
        """By element the cases in which it has failed."""
        return _lanes_of((i, f.element) for i, case in enumerate(self.cases) for f in failures_of(case))

    @cached_property
    def _opened_first(self) -> Mapping[str, int]:
        """By protection the cases in which it opens before what is nearer to the short."""
        failed = ((i, f) for i, case in enumerate(self.cases) for f in failures_of(case))
        return _lanes_of((i, element) for i, f in failed for element in f.opened)

    def _monitor(self, name: str) -> Iterator[Seen]:
        meter, monitor = self._meters[name], self.facts.design.watch.monitors[name]
        if meter.shows == "live":
            yield from self._live(meter)
            return
        limits = None if self._spread is None else self._spread.monitor(name)
        if self._numbers[-1] is None and meter.shows == "voltage" and not meter.lamp:
            yield from self._volts_or_blank(meter)
            return
        own_limits = {} if meter.lamp else self._own_limits(name)
        for i in range(len(self.cases)):
            now = self.reading(name, i)
            if now is None:
                yield None
            elif meter.lamp:
                low = -inf if monitor.alarm_below is None else monitor.alarm_below
                high = inf if monitor.alarm_above is None else monitor.alarm_above
                sign = self.facts.points.alarm_sign(name)
                ends = (sign * now.value, sign * now.at_least_charge)
                lit = [not now.blank and not low <= volts <= high for volts in ends]
                yield YES if all(lit) else EITHER if any(lit) else NO
            elif now.blank:
                yield BLANK, BLANK
            else:
                own = limits if i == len(self.cases) - 1 else own_limits.get(i)
                low, high = _range(now)
                # the limits have the charge of the batteries in them already
                seen = (
                    (min(low, own.low), max(high, own.high))
                    if own
                    else widened((low, high), limits or usual_error(meter))
                )
                yield self._rising(seen, name, limits or usual_error(meter)) if self._free >> i & 1 else seen

    def _own_limits(self, name: str) -> Mapping[int, Within | None]:
        """By case the limits of a reading that are solved for it: where an alternator is lost in the normal
        state, or gives all it can and did not, as what that gave and what the batteries take counts no more,
        and where a meter reads something that read nothing. Solved side by side."""
        if self.answer.state.name != self.facts.states.operation.normal or not any(self._numbers):
            return {}
        sound = self.reading(name, len(self.cases) - 1)
        from_nothing = sound is not None and not sound.blank and max(map(abs, _range(sound))) < NOTHING
        changed = -1 if from_nothing else self._lost | self._overloaded
        each = ((i, self.reading(name, i)) for i in range(len(self.cases) - 1) if changed >> i & 1)
        # what is dead is off by the step of the meter
        own = {i: now for i, now in each if now and not now.blank and max(map(abs, _range(now))) >= NOTHING}
        self.solve_limits(name, own)
        return {i: self.limits_after(name, now, i) for i, now in own.items()}

    def limits_after(self, name: str, now: CaseReading, lane: int) -> Within | None:
        """What a monitor that reads ``now`` may read after a case of the normal state by the limits of that
        case itself. Cases that read alike have those of one of them."""
        key = name, now
        if key not in self._limits:
            self._limits[key] = self.facts.detection.limits_after(name, failures_of(self.outcomes[lane]))
        return self._limits[key]

    def solve_limits(self, name: str, lanes: Iterable[int]) -> None:
        """Solve side by side :meth:`limits_after` some cases, which will be asked for."""
        first: dict[CaseReading, int] = {}
        for i in lanes:
            now = self.reading(name, i)
            if now is not None and (name, now) not in self._limits:
                first.setdefault(now, i)
        cases = [failures_of(self.outcomes[i]) for i in first.values()]
        self.facts.points.spreads_under.solve(self.answer.state.name, cases)

    @cached_property
    def _overloaded(self) -> int:
        """The cases after which a source gives all it can that does not in the sound system."""
        try:
            over = self.facts.points.under_failures.overloaded(self.answer, self.outcomes, self.solved)
        except NotAssessable:
            return 0
        return sum(1 << i for i, sources in enumerate(over) if sources)

    @cached_property
    def _lost(self) -> int:
        """The cases after which an alternator gives nothing that does in the sound system: it is lost or
        off line."""
        network, sound = self.facts.network, len(self.cases) - 1
        elements = [s.element for s in network.sources if s.kind == "alternator"]
        gives = (carrying(network, self.solved, e) for e in elements if self.solved.alive[e] >> sound & 1)
        return join(~mask for mask in gives if mask >> sound & 1)

    def _rising(self, seen: Seen, name: str, within: Within) -> Seen:
        """What a voltmeter shows of an alternator that nothing regulates: the volts rise as the batteries
        become full, from more than a sound system shows."""
        sound = self._numbers[-1]
        if seen is None or sound is None or self._meters[name].shows != "voltage" or sound[name].blank:
            return seen
        usual = widened(_range(sound[name]), within)
        return (min(seen[0], usual[1] + VOLTS_STEP), seen[1]) if usual and seen[0] > usual[1] else seen

    @cached_property
    def _free(self) -> int:
        """The cases after which an alternator is driven to full field."""
        return join(uncontrolled(self.facts.design, self.facts.network, self.solved, self.outcomes).values())

    def _volts_or_blank(self, meter: Meter) -> Iterator[Seen]:
        """A voltmeter where no figures are."""
        shows = self.solved.powered.get(meter.instrument, -1) if meter.instrument else -1
        for i, seen in enumerate(self._live_or_dead(meter.ends[0])):
            yield seen if shows >> i & 1 else (BLANK, BLANK)

    def _live(self, meter: Meter) -> Iterator[Seen]:
        """A lamp, or an input that shows whether something is live."""
        lives, powered = self.solved.live(meter.ends[0]), self.solved.powered
        shows = powered.get(meter.instrument, -1) if meter.instrument else -1
        mask = shows if meter.lamp else lives
        for i in range(len(self.cases)):
            if not meter.lamp and not shows >> i & 1:
                yield BLANK, BLANK
            else:
                yield YES if mask >> i & 1 else NO

    def _terminal(self, name: str) -> Sequence[Seen]:
        if self._stopped is not None:
            return self._stopped._terminal(name)
        if self._points is None:
            return self._live_or_dead(self.facts.network.node(name))
        limits = None if self._spread is None else self._spread.volts(name)
        return [widened(s, limits or DEAD) for s in self._points.volts(name)]

    def reading(self, name: str, lane: int) -> CaseReading | None:
        """What a monitor reads under a case; None where that is not in numbers or not solved."""
        one = self._numbers[lane]
        return None if one is None else one.get(name)

    @property
    def at_rest(self) -> StateSigns:
        """The same with the engine stopped, as terminals are measured."""
        return self._stopped or self

    def limits_at(self, terminal: str) -> Within | None:
        """What a voltmeter may read at a terminal of a sound system; None where it is not solved."""
        return None if self._spread is None else self._spread.volts(terminal)

    @cached_property
    def isolation(self) -> IsolationLooks:
        """The measurements with the system off."""
        return IsolationLooks(self.facts.design, self.facts.network)

    @cached_property
    def failure_runs(self) -> FailureRuns:
        """Which failures are places of one run."""
        return FailureRuns(self.facts)

    def _isolation(self, name: str) -> Iterator[Seen]:
        return self.isolation.seen(name, self.cases)

    def _live_or_dead(self, node: int) -> list[Seen]:
        """A voltmeter where no figures are: some volts, or none. What a sound system does not feed may
        float up through a load, and so may all where two things have failed."""
        lives = self.solved.live(node)
        if not lives >> len(self.cases) - 1 & 1:
            return [None] * len(self.cases)
        return [
            (LIVE_FROM, inf) if lives >> i & 1 else (DEAD.low, DEAD.high) if self._alone(case) else None
            for i, case in enumerate(self.cases)
        ]

    def _alone(self, case: Case) -> bool:
        """Whether a case is a single failure, with what it has opened."""
        return sum(f.mode != OPEN for f in failures_of(case)) <= 1 and len(failures_of(case)) <= 2

    @cached_property
    def _stopped(self) -> StateSigns | None:
        """The same with the engine stopped; None where it is."""
        state = self.answer.state
        if not state.runs("") and state.engine == "stopped":
            return None
        network = self.facts.network
        stopped = state.with_engine("stopped")
        answer = StateAnswer(self.facts.design, network, stopped, conduct(network, stopped))
        return StateSigns(self.facts, answer, self._lasting[:-1])

    @cached_property
    def _numbers(self) -> Sequence[Mapping[str, CaseReading] | None]:
        with suppress(NotAssessable):
            return self.facts.points.under_failures.of(self.answer, self.outcomes, self.solved)
        return [None] * len(self.cases)

    @cached_property
    def _points(self) -> SolvedCases | None:
        with suppress(NotAssessable):
            found = self.facts.points.failed_points_in(self.answer, self.outcomes, self.solved)
            return SolvedCases(found, len(self.cases))
        return None

    @cached_property
    def _spread(self) -> Spread | None:
        with suppress(NotAssessable):
            return self.facts.points.spread_in(self.answer)
        return None


def _range(now: CaseReading) -> tuple[float, float]:
    return min(now.value, now.at_least_charge), max(now.value, now.at_least_charge)


def _lanes_of(pairs: Iterable[tuple[int, str]]) -> dict[str, int]:
    """The lanes of each name, of (lane, name)."""
    found: dict[str, int] = {}
    for lane, name in pairs:
        found[name] = found.get(name, 0) | 1 << lane
    return found
