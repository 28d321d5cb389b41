"""How long each function lasts once no alternator gives anything: until the loss is noticed, through
the shed plan, until the batteries that power it are down to what its loads need, through the crew's
change-over, until the next battery is down.

An alternator is lost by its drive: its field draws on. The crew begins to shed when the recognition
time has passed since an alarm; without an alarm no move of the crew counts. A change-over is a
shortest sequence of declared actions that restores the function, done at the last moment; after it
nothing more is shed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from enum import StrEnum
from functools import cached_property
from itertools import accumulate, groupby

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.states import StateAnswer, loads_of, rests_on
from reviewer.analysis.crew.moves import ActionSequence, Begun, after_failures
from reviewer.analysis.crew.recovery_search import RecoverySearch
from reviewer.analysis.endurance.battery_endurance import scenario_after_loss
from reviewer.analysis.endurance.depletion import (
    Depleted,
    Depletion,
    DepletionMoment,
    FunctionLoss,
    LoadStop,
    Loss,
    Stop,
)
from reviewer.analysis.endurance.discharge import Ending
from reviewer.analysis.endurance.discharge_surfaces import DischargeSurfaces
from reviewer.analysis.endurance.own_batteries import OwnBatteries
from reviewer.analysis.endurance.shedding import LossNotice, SheddingSegment, after_loss, carried_out
from reviewer.analysis.not_assessable import NotAssessable, gaps
from reviewer.analysis.operating_point.answers import OperatingPoints, assessed
from reviewer.analysis.operating_point.charge_sweep import alarm_readings
from reviewer.analysis.operating_point.flight_charges import cold_share
from reviewer.analysis.operating_point.tolerances import DEAD
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.network.meters import meters as wired_meters

#: change-overs in a row
MOST = 3


class TimelineEvent(StrEnum):
    """What a line of the timeline is."""

    LOSS = "generation lost"
    NOTICED = "noticed"
    UNNOTICED = "not noticed"
    SHED = "shed"
    LOAD_STOPS = "load stops"
    BATTERY_OUT = "battery exhausted"
    CHANGE_OVER = "change-over"
    LOST = "function lost"


@record
class TimelineEntry:
    """A line of the timeline of a function, ``seconds`` after the loss.

    ``what`` is the alarm, the action, the load, the battery or the function, ``why`` what it does.
    For a move of the crew ``takes`` is its time (None where the file does not say) and ``without``
    the seconds at which the function is lost when the crew neither makes it nor any later one.
    """

    event: TimelineEvent
    seconds: float
    what: str
    why: str = ""
    takes: float | None = None
    without: float | None = None


@record
class LaterMove:
    """Actions that the crew makes when a function is lost, ``seconds`` after the failure: ``stops`` is the
    load that stops then (the source or bus where the function has none), ``monitor`` a voltmeter that shows
    it and ``volts`` what that reads then, with batteries that are new; without one, "" and None."""

    actions: str
    seconds: float
    stops: str
    monitor: str = ""
    volts: float | None = None


@record
class FunctionEndurance:
    """How long a function works after the loss of all generation, in the worse outcome.

    ``seconds`` counts crew actions only where an alarm shows the loss while the function still
    works (``noticed``);
    ``unattended`` is without any move, ``attended`` with all of them. ``required`` is what the
    operation wants, None where it does not say. Infinite where it is not lost. ``stops`` has the
    seconds at which each of its loads (names) stops that is not turned off, the first time.
    """

    function: str
    hazard: str
    state: str
    phase: str | None
    lost: tuple[str, ...]
    noticed: LossNotice | None
    unattended: float
    attended: float
    required: float | None
    timeline: tuple[TimelineEntry, ...]
    stops: Mapping[str, float]

    @property
    def seconds(self) -> float:
        """Seconds until the function is lost."""
        return self.attended if self.noticed else self.unattended


def watched_functions(states: States) -> tuple[str, ...]:
    """The functions of class major or worse on which no other one of these rests; none that is off in the
    normal state: on purpose, or until a sensor moves, as a stall warning."""
    design = states.design
    grave = [n for n, f in design.functions.items() if HazardClass.of(f.loss) >= HazardClass.MAJOR]
    outer = [n for n in grave if not any(rests_on(design, other, n) for other in grave)]
    if design.operation is None:
        return tuple(outer)
    normal = states.answer(design.operation.normal)
    off = {n for n in outer if not normal.alive[n]}
    return tuple(
        n
        for n in outer
        if n not in off or not (n in normal.state.without or states.waits_for_its_sensor(normal, n))
    )


class GenerationLoss:
    """The loss of generation by some failures at once, as a rule of all alternators, in the normal
    state, with the loads of one phase.

    The sun gives nothing. The crew carries out ``actions``, the shed plan if None.
    """

    def __init__(
        self,
        operating: OperatingPoints,
        surfaces: DischargeSurfaces,
        case: Sequence[Failure],
        phase: str | None,
        actions: Sequence[str] | None = None,
    ):
        self.operating, self.surfaces, self.phase = operating, surfaces, phase
        self.design, self.network = operating.design, operating.network
        self.state = operating.states.declared[operating.states.operation.normal]
        sun = (Failure(s.element, OPEN) for s in self.network.sources if s.listed)
        self.case = tuple(dict.fromkeys((*case, *sun)))
        for name in self.design.of_kind(p.Battery):
            cold_share(operating, name)
        self.segments = after_loss(operating, self.case, self.state, actions)
        names = self.design.of_kind(p.Battery)
        day = [surfaces.day_cells.of(f"parts/{name}") for name in names]
        for one in day:
            if one.missing:
                raise NotAssessable(one.missing)
        self.cells = [one.cell for one in day]
        self.own = OwnBatteries(self.design)
        self.functions = tuple(f for f in watched_functions(operating.states) if not self.lacking(f))
        self._stopped: dict[tuple[int, float], Depletion] = {}
        #: by what conducts in a segment, which is kept with it, and the failures, what actions do then
        self._begun: dict[tuple[int, tuple[Failure, ...]], tuple[Conduction, Begun]] = {}
        #: by a loss, which is kept with it, the change-over that is made then
        self._changed: dict[int, tuple[FunctionLoss, tuple[TimelineEntry, Depletion] | None]] = {}
        # without a move it is the same whatever the plan: once for all plans after a failure
        self._alone = self.case, phase, self.segments[0].name
        alone = surfaces.without_moves.get(self._alone)
        if alone is not None:
            self._stopped[0, 0.0] = alone

    def lacking(self, function: str) -> Mapping[str, str]:
        """The loads of a function that do not state their minimum voltage."""
        parts = self.design.parts
        return {n: "`minimum`" for n in loads_of(self.design, function) if parts[n].minimum is None}

    def until(self, moves: int, noticed_after: float = 0.0) -> Depletion:
        """The batteries followed while the crew makes the first ``moves`` of the shed plan and no
        other. Raises NotAssessable."""
        key = moves, noticed_after if moves else 0.0
        if key not in self._stopped:
            segments = carried_out(self.segments, moves, noticed_after)
            self._stopped[key] = self._depleted(self.functions).through(segments)
            if not moves:
                self.surfaces.without_moves[self._alone] = self._stopped[key]
        return self._stopped[key]

    @property
    def beginning(self) -> DepletionMoment:
        """The moment of the loss."""
        first = self.segments[0]
        scenario = scenario_after_loss(self.operating, first.state, first.now, self.case, self.phase)
        return 0.0, scenario, {cell.element: cell.charge for cell in self.cells}

    @cached_property
    def unnoticed(self) -> Depletion:
        """The batteries followed to their end while the crew does nothing. Raises NotAssessable."""
        return self._depleted(()).through(carried_out(self.segments, 0, 0.0))

    def _depleted(self, functions: tuple[str, ...]) -> Depleted:
        return Depleted(self.surfaces, self.cells, Loss(self.case, self.phase, functions))

    def endurance_of(self, function: str, noticed: LossNotice | None) -> FunctionEndurance:
        """How long a function works, and by which steps it is lost. Raises NotAssessable."""
        if missing := self.lacking(function):
            raise NotAssessable(gaps(missing))
        alone = self.until(0)
        if noticed and noticed.seconds >= alone.lost_at(function):
            noticed = None
        attended, moves, stops = self._attended(function, noticed.seconds if noticed else 0.0)
        told = moves if noticed else self._events(function, alone, {})
        loads = loads_of(self.design, function)
        lost = tuple(bare(failure.element) for failure in self.case)
        entries = [
            TimelineEntry(TimelineEvent.LOSS, 0.0, ", ".join(lost)),
            TimelineEntry(TimelineEvent.NOTICED, noticed.seconds, noticed.monitor)
            if noticed
            else TimelineEntry(TimelineEvent.UNNOTICED, 0.0, ""),
            *sorted(told, key=lambda entry: entry.seconds),
        ]
        return FunctionEndurance(
            function,
            self.design.functions[function].loss,
            self.state.name,
            self.phase,
            lost,
            noticed,
            self.own.lasts(function, alone, {}),
            attended,
            self.operating.states.operation.endurance,
            tuple(entries),
            {
                bare(e): stop.seconds + self.own.on_own(bare(e), self.state)
                for e, stop in (stops if noticed else alone.stops).items()
                if bare(e) in loads and stop.why is not Stop.TURNED_OFF
            },
        )

    def after_moves(self, moves: int) -> Mapping[str, float]:
        """Seconds at which each function is lost that is followed from the end of the first ``moves``
        actions on, while the crew carries out all of them; the batteries count from the loss. One that has
        no feed then is lost when it is without these actions, if that is sooner. What does not work before
        these moves is brought back when the recognition time has passed or at once: the battery that it
        waits for is then down sooner after the loss. Raises NotAssessable."""
        after, alone = self._after_moves(moves, 0.0), self.until(0)
        dead = {f for f in self.functions if alone.lost_at(f) <= 0}
        recognition = self.operating.states.operation.recognition_time or 0.0
        at_once = self._after_moves(moves, -recognition) if dead and recognition else after
        return {f: min(after[f], at_once[f]) if f in dead else after[f] for f in after}

    def _after_moves(self, moves: int, later: float) -> Mapping[str, float]:
        """The same where the crew begins so many seconds later than the recognition time."""
        first, rest = self._depleted(()), self._depleted(self.functions)
        segments = carried_out(self.segments, len(self.segments) - 1, later)
        first.through(segments[:moves])
        rest.now, rest.out = first.now, [one for one in first.out if one.why is Ending.DISCONNECTS]
        begun, course = sum(one.seconds or 0.0 for one in segments[:moves]), rest.through(segments[moves:])
        after = {f: self.own.lasts(f, course, {}) for f in self.functions}
        for f in self.functions:
            if course.lost_at(f) <= begun:
                after[f] = min(after[f], self.own.lasts(f, self.until(0), {}))
        return after

    def moved_to(self, state: ResolvedState, after: float) -> Mapping[str, tuple[float, float]]:
        """By function the seconds at which it is lost if nothing is done, and if the switches are moved
        to a ``state`` some seconds ``after`` the failure. Raises NotAssessable."""
        first, alone = self.segments[0], self.until(0)
        then = SheddingSegment(state, conduct(self.network, state, (self.case,), first.now), "", None)
        course = self._depleted(self.functions).through([replace(first, seconds=after), then])
        lasts = self.own.lasts
        return {f: (lasts(f, alone, {}), lasts(f, course, {})) for f in self.functions}

    def _attended(
        self, function: str, after: float
    ) -> tuple[float, list[TimelineEntry], Mapping[str, LoadStop]]:
        """When a function is lost with all crew actions, which begin ``after`` seconds later
        than the recognition time; the events until then, and the first stop of each load."""
        plan = self.until(len(self.segments) - 1, after)
        attended, entries, stops = self._through_change_overs(function, plan, after)
        for moves, course in self._moves_for_others(function, plan, attended):
            lasts, later, others = self._through_change_overs(function, course, after, plan.stops)
            if lasts < attended:
                sheds = list(self._sheds(function, plan.lost_at(function), after))
                made = [replace(one, without=attended) for one in moves]
                gone = [e for e in later if e.seconds <= made[-1].seconds]
                entries = [*sheds, *gone, *made, *later[len(gone) :]]
                attended, stops = lasts, {**others, **plan.stops}
        return attended, entries, stops

    def _moves_for_others(
        self, function: str, plan: Depletion, lost: float
    ) -> Iterator[tuple[Sequence[TimelineEntry], Depletion]]:
        """The change-overs that the crew makes for other functions as grave or graver while a function still
        works, and the batteries followed from the last of them on: they may take from it what it rests on."""
        for other in self.functions:
            if other == function or function not in self._no_graver(other):
                continue
            made: list[TimelineEntry] = []
            for entry, course in self._change_overs(other, plan):
                if entry.seconds >= lost:
                    break
                made.append(replace(entry, why=f"{other} would be lost"))
                yield made, course

    def _no_graver(self, function: str) -> tuple[str, ...]:
        """The functions whose loss is no graver than that of one, itself first."""
        grave = {f: HazardClass.of(self.design.functions[f].loss) for f in self.functions}
        rest = (f for f in self.functions if f != function and grave[f] <= grave[function])
        return function, *rest

    def _through_change_overs(
        self, function: str, plan: Depletion, after: float, stopped: Mapping[str, LoadStop] | None = None
    ) -> tuple[float, list[TimelineEntry], Mapping[str, LoadStop]]:
        """The same with the change-overs for this function alone, from a course in which its loads have
        ``stopped`` before."""
        before = dict(stopped or {})
        sheds = () if stopped is not None else self._sheds(function, plan.lost_at(function), after)
        entries = [*sheds, *self._events(function, plan, before)]
        stops = dict(plan.stops)
        for entry, changed in self._change_overs(function, plan):
            before, plan = {**before, **plan.stops}, changed
            # what gives nothing any more before the move gives nothing after it either
            told = {e.what for e in entries if e.event is TimelineEvent.BATTERY_OUT}
            if any(entry.why == f"{e.what} {e.why}" for e in entries if e.what in told):
                entry = replace(entry, why="")
            later = self._events(function, plan, before)
            entries[-1:] = [entry, *(e for e in later if e.what not in told or e.seconds > entry.seconds)]
            stops = {**plan.stops, **stops}
        return self.own.lasts(function, plan, before), entries, stops

    def _change_overs(self, function: str, plan: Depletion) -> Iterator[tuple[TimelineEntry, Depletion]]:
        """The change-overs that the crew makes when a function is lost after all of the shed plan, with
        what comes of each."""
        before = dict[str, LoadStop]()
        for _ in range(MOST):
            found = self._changed_over(plan.losses[function]) if function in plan.losses else None
            if found is None:
                return
            entry = replace(found[0], without=self.own.lasts(function, plan, before))
            before, plan = {**before, **plan.stops}, found[1]
            yield entry, plan

    def with_all_moves(self, function: str, after: float) -> tuple[float, tuple[LaterMove, ...]]:
        """Seconds at which a function is lost with all crew actions, which begin ``after`` seconds later
        than the recognition time, and its change-overs. Raises NotAssessable."""
        plan = self.until(len(self.segments) - 1, after)
        before, made = dict[str, LoadStop](), []
        for entry, changed in self._change_overs(function, plan):
            shown = self._shown(plan, plan.losses[function])
            made.append(LaterMove(entry.what, entry.seconds, bare(plan.losses[function].stop.load), *shown))
            before, plan = {**before, **plan.stops}, changed
        lasts = self.own.lasts(function, plan, before)
        return min(lasts, self._attended(function, after)[0]), tuple(made)

    def _shown(self, plan: Depletion, loss: FunctionLoss) -> tuple[str, float | None]:
        """The live voltmeter that reads the least just before a function is lost, and its volts."""
        load = loss.stop.load
        before = (s for seconds, s, _ in reversed(plan.trail) if seconds <= loss.seconds)
        scenario = next((s for s in before if s.conduction.powered.get(load)), None)
        if scenario is None:
            return "", None
        least = self.design.parts[bare(load)].minimum or DEAD.high
        meters = wired_meters(self.design, self.network)
        volts = {n: m for n, m in meters.items() if m.shows == "voltage" and not m.unknown and not m.lamp}
        found = assessed(lambda: alarm_readings(self.operating, scenario, [loss.charges], volts))
        read = {name: self.operating.alarm_sign(name) * one[0] for name, one in found.items()}
        # what reads less than the load has is not on its feed
        live = {name: one for name, one in read.items() if least <= one < math.inf}
        name = min(live, key=lambda name: live[name], default="")
        return name, live.get(name)

    def _sheds(self, function: str, lost: float, after: float) -> Iterator[TimelineEntry]:
        """The moves of the shed plan that are made before a function is lost."""
        done = accumulate(segment.seconds or 0.0 for segment in self.segments[:-1])
        for i, (segment, at) in enumerate(zip(self.segments[1:], done, strict=True)):
            if at + after < lost:
                takes = self.operating.states.operation.actions[segment.name].time
                without = self.own.lasts(function, self.until(i, after), {})
                yield TimelineEntry(
                    TimelineEvent.SHED, at + after, segment.name, takes=takes, without=without
                )

    def _events(
        self, function: str, course: Depletion, before: Mapping[str, LoadStop]
    ) -> list[TimelineEntry]:
        """The loads of a function that stop, the batteries that drop out, and its loss at the end
        where it is lost; some loads have stopped ``before``."""
        lost, loads = course.lost_at(function), loads_of(self.design, function)
        stops = [s for s in course.stops.values() if bare(s.load) in loads and s.seconds < lost]
        out = [one for one in course.out if one.seconds <= lost and one.why]
        found = [
            *(
                TimelineEntry(
                    TimelineEvent.LOAD_STOPS,
                    at,
                    ", ".join(bare(s.load) for s in some),
                    why.of_several if len(some) > 1 else why,
                )
                for (at, why), same in groupby(stops, key=lambda s: (s.seconds, s.why))
                for some in [list(same)]
            ),
            *(TimelineEntry(TimelineEvent.BATTERY_OUT, o.seconds, bare(o.battery), o.why) for o in out),
        ]
        if function in course.losses:
            why, ends = _because(course.losses[function]), self.own.lasts(function, course, before)
            if ends > lost:
                units = self.own.helping(function, course.losses[function].segment.state)
                empty = "batteries inside {} are empty" if len(units) > 1 else "battery inside {} is empty"
                why = f"{why}, and the {empty.format(', '.join(units))}"
            found.append(TimelineEntry(TimelineEvent.LOST, ends, function, why))
        return found

    def _changed_over(self, loss: FunctionLoss) -> tuple[TimelineEntry, Depletion] | None:
        """The sequence of actions that restores a lost function for the longest time, of those of
        the fewest actions; None where none does."""
        if loss.stop.why is Stop.TURNED_OFF:
            return None
        if id(loss) in self._changed:
            return self._changed[id(loss)][1]
        best: tuple[TimelineEntry, Depletion] | None = None
        for sequence in self._restoring(loss):
            now = conduct(self.network, sequence.state, (self.case,), loss.segment.now)
            segment = SheddingSegment(sequence.state, now, " and ".join(sequence.actions), None)
            course = self._depleted(self._no_graver(loss.function)).later(loss).through([segment])
            lasts = course.lost_at(loss.function)
            if lasts > (best[1].lost_at(loss.function) if best else loss.seconds):
                entry = TimelineEntry(
                    TimelineEvent.CHANGE_OVER,
                    loss.seconds,
                    ", ".join(sequence.actions),
                    _because(loss),
                    self._time(sequence.actions),
                    loss.seconds,
                )
                best = entry, course
        self._changed[id(loss)] = loss, best
        return best

    def _restoring(self, loss: FunctionLoss) -> Iterator[ActionSequence]:
        """The shortest sequences of actions that restore a function without the batteries that its
        loads were powered by."""
        now = loss.segment.now
        loads = {f"parts/{n}" for n in loads_of(self.design, loss.function)}
        users = [c for c in self.network.consumers if c.element in loads]
        down = [
            s.element
            for s in self.network.sources
            if s.kind == "battery" and any(serves(self.network, now, s.element, c) & 1 for c in users)
        ]
        case = (*self.case, *(Failure(element, OPEN) for element in down))
        answer = StateAnswer(self.design, self.network, loss.segment.state, now)
        begun = self._begun_after(loss.segment, case) if case else None
        search = RecoverySearch(self.design, self.network, answer, loss.function, [(case,)], begun=begun)
        if search.losing():
            for _, _, ways in search.found():
                yield from (sequence for _, sequence in ways)

    def _begun_after(self, segment: SheddingSegment, case: tuple[Failure, ...]) -> Begun:
        """What is after some failures in a segment, for all functions that are lost so."""
        key = id(segment.now), case
        if key not in self._begun:
            failed = after_failures(self.network, segment.state, (case,), segment.now)
            begun = Begun({case[0]: 0}, failed, failed.solved.powered, {}, {})
            self._begun[key] = segment.now, begun
        return self._begun[key][1]

    def _time(self, actions: Sequence[str]) -> float | None:
        times = [self.operating.states.operation.actions[name].time for name in actions]
        return None if None in times else math.fsum(time or 0.0 for time in times)


def _because(loss: FunctionLoss) -> str:
    """Why a function is lost: the battery that drops out then, else what its load does."""
    gone = next((one for one in loss.out if one.seconds == loss.seconds), None)
    if gone is not None and loss.stop.why is Stop.NO_POWER:
        return f"{bare(gone.battery)} {gone.why}"
    return f"{bare(loss.stop.load)} {loss.stop.why}"
