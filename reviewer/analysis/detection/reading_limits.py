"""Which failures a monitor shows: those that take its solved reading out of its limits.

Where a preflight check watches the monitor, the crew compares it with what it should read: its
limits are what the tolerances and the error of the meter leave around the reading without the
failure. Elsewhere the limits of a voltage are its alarms; on a side without an alarm, and of a
current, the lowest and the highest that the crew sees in the state and in all states and phases of
normal flight. An alarm of a current that is text has no limit in numbers: of the readings beyond
those it is taken to come with one that is gone, has turned, or is new; a lesser change gives none.
An alarm that is on without the failure, or may be by the error of its meter, limits nothing; one
counts that comes whatever its meter is wrong by. A low-voltage alarm counts that comes with the
failure, the batteries as normal flight leaves them; and one that comes before they are less than
ready for flight, where the failure makes every battery that feeds what is sensed discharge: one at
rest never falls to it, and one that is on while such batteries are recharged tells nothing then.
While the engine cranks every voltage falls for a moment: a monitor that no check watches then is
judged by its level alone.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from itertools import pairwise

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.scenarios import Case, mask_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NoOperatingPoint, NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.operating_point.cranking import cranks
from reviewer.analysis.operating_point.failure_readings import CaseReading, Readings
from reviewer.analysis.operating_point.flight_charges import NOTHING_A
from reviewer.analysis.operating_point.tolerances import AMPS_STEP, ROUNDING, Spread, Within, meter_error
from reviewer.model.design import Design, Monitor
from reviewer.model.record import record
from reviewer.network.meters import Meter

#: a voltmeter that reads less in a sound system is taken to be dead, volts
LIVE_FROM = 1.0


@record
class Shown:
    """Lanes in which a monitor shows a failure: ``outside`` its limits or dark, ``dark`` where it was
    not, by an ``alarm``; ``solved`` are those of which the reading is known, ``lost`` those of which no
    operating point was found."""

    outside: int
    dark: int
    alarm: int
    solved: int
    lost: int = 0


class ReadingLimits:
    """The limits of the monitors of a design, and what is outside of them."""

    def __init__(self, points: OperatingPoints, design: Design):
        self.points, self.design = points, design
        #: the failures under which some reading was asked for and no operating point was found, with the
        #: state
        self.lost: dict[Case, str] = {}
        self._flight_lost = False

    @cached_property
    def _flight(self) -> tuple[Spread | None, ...]:
        """The spread of each state and phase of normal flight; None where the file lacks a figure."""
        states = self.points.states
        found: list[Spread | None] = []
        for flown in self.points.flown_in(a.state.name for a in states.flight_answers()):
            answer = states.answer(flown.state)
            if cranks(answer.state):
                continue
            try:
                spread = _found(self.points.spread(flown.state, phase=flown.phase), flown.state)
            except NotAssessable as missing:
                self._flight_lost |= isinstance(missing, NoOperatingPoint)
                found.append(None)
            else:
                found.append(None if self._unknown(answer, spread) else spread)
        return tuple(found)

    def _seen(self, name: str, within: Within) -> Within:
        """What a monitor reads in a state and in normal flight."""
        each = [within, *(w for s in self._flight if s is not None and (w := s.monitor(name)) is not None)]
        return Within(within.value, min(w.low for w in each), max(w.high for w in each))

    def read_in(self, state: str) -> frozenset[str]:
        """The monitors that a preflight check watches in a state."""
        checks = self.design.watch.checks.values()
        return frozenset(name for check in checks if check.state == state for name in check.watch)

    def read_together(self, state: str) -> tuple[tuple[str, ...], ...]:
        """The voltmeters that each preflight check of a state watches, where it watches several."""
        monitors = self.design.watch.monitors
        by_check = [
            tuple(n for n in check.watch if n in monitors and monitors[n].shows == "voltage")
            for check in self.design.watch.checks.values()
            if check.state == state
        ]
        return tuple(names for names in by_check if len(names) > 1)

    def printed(
        self, state: str, watch: Sequence[str]
    ) -> tuple[tuple[tuple[str, Within], ...], tuple[str, ...]]:
        """What the voltmeters and ammeters among some names may read in a state with nothing failed, the
        error of the meter included, and what has not been measured of that; nothing where the file lacks a
        figure, and of a display without power."""
        try:
            spread = _found(self.points.spread(state), state)
        except NoOperatingPoint as missing:
            return (), (str(missing),)
        except NotAssessable:
            return (), ()
        monitors, dark = self.design.watch.monitors, self.dark_in(state, watch)
        shown = [n for n in watch if n in monitors and monitors[n].shows != "live" and n not in dark]
        read = tuple((n, within) for n in shown if (within := spread.monitor(n)) is not None)
        return read, tuple(map(str, spread.unknowns)) if read else ()

    def in_words(self, state: str, watch: Sequence[str]) -> tuple[tuple[str, str], ...]:
        """What a check of some monitors in a state can show, as numbers of a finding: the displays without
        power, the limits of the readings, and what they rest on."""
        read, unknown = self.printed(state, watch)
        units = {"voltage": "V", "current": "A"}
        limits = ((n, w, units[self.design.watch.monitors[n].shows]) for n, w in read)
        return (
            *(
                (f"without power in {state}", f"{unit}, which shows {n}")
                for n, unit in self.dark_in(state, watch).items()
            ),
            *(
                (f"{n} with nothing failed", f"{w.low:g} {unit} to {w.high:g} {unit}")
                for n, w, unit in limits
            ),
            *((("not measured", "; ".join(unknown)),) if unknown else ()),
        )

    def dark_in(self, state: str, watch: Sequence[str]) -> Mapping[str, str]:
        """The monitors among some names that are on a display without power in a state with nothing failed,
        each with that display."""
        powered, monitors = self.points.states.answer(state).healthy.powered, self.design.watch.monitors
        shown = [(n, monitors[n].displayed_on) for n in watch if n in monitors]
        dark = [(n, unit) for n, unit in shown if unit and not powered.get(f"parts/{unit}", 1)]
        return {n: unit for n, unit in dark if getattr(self.design.parts[unit], "type", "") != "lamp"}

    def shown(
        self, answer: StateAnswer, cases: Sequence[Case], solved: Conduction, meters: Collection[Meter]
    ) -> Mapping[str, Shown]:
        """What some monitors show of cases, which are lanes of ``solved``. Those that have no
        reading in numbers are not in it, and none is where the file lacks a figure. Where no operating
        point is found logic does not stand in: these lanes are ``lost``."""
        if cranks(answer.state):
            meters = [m for m in meters if m.name in self.read_in(answer.state.name)]
        try:
            numbers = self._numbers(answer, cases, solved, meters)
        except NoOperatingPoint:
            self._lose(answer, cases, -1)
            every = (1 << len(cases)) - 1
            return {m.name: Shown(0, 0, 0, 0, every) for m in meters if _numeric(m) and not m.unknown}
        if numbers is None:
            return {}
        spread, healthy, readings = numbers
        lost = _not_found(readings, solved)
        self._lose(answer, cases, lost)
        unknown, read = self._unknown(answer, spread), self.read_in(answer.state.name)
        coming = [
            meter
            for meter in meters
            if (now := healthy.get(meter.name)) is not None and _numeric(meter) and self._comes(meter, now)
        ]
        giving = self._giving(answer, cases) if coming else {}
        falling = {meter.name: self._discharging(solved, meter, giving, len(cases)) for meter in coming}
        least = readings
        if every := join(
            falling.values()
        ):  # those of all meters at once: each solution has a cost of its own
            least = self.points.under_failures.of(answer, cases, solved, every)
        found = {}
        for meter in meters:
            name, before = meter.name, healthy.get(meter.name)
            within = None if before is None or not _numeric(meter) else spread.monitor(name)
            if before is None or within is None:
                continue
            if name not in read and None in self._flight and self._flight_lost:
                self._lose(answer, cases, -1)
                found[name] = Shown(0, 0, 0, 0, (1 << len(cases)) - 1)
                continue
            if meter.shows == "current" and (unknown or (name not in read and None in self._flight)):
                continue
            falls = falling.get(name, 0)
            seen = [a if falls >> i & 1 else b for i, (a, b) in enumerate(zip(least, readings, strict=True))]
            shown = self._masks(answer.state.name, meter, within, before, seen, falls)
            found[name] = replace(shown, lost=lost)
        return found

    def _lose(self, answer: StateAnswer, cases: Sequence[Case], lanes: int) -> None:
        """Note the cases of some lanes as those that were not solved."""
        for i, case in enumerate(cases if lanes else ()):
            if lanes >> i & 1:
                self.lost.setdefault(case, answer.state.name)

    def between(
        self,
        answer: StateAnswer,
        cases: Sequence[Case],
        solved: Conduction,
        meters: Mapping[str, Meter],
        watch: Sequence[str],
    ) -> int:
        """The lanes in which two voltmeters that a check watches, one after the other, differ by
        more or less than they may."""
        pair_of = [n for n in watch if n in meters and meters[n].shows == "voltage" and not meters[n].lamp]
        some = [meters[n] for n in pair_of] if len(pair_of) > 1 else []
        try:
            numbers = self._numbers(answer, cases, solved, some)
        except NoOperatingPoint:
            self._lose(answer, cases, -1)
            return 0
        if numbers is None:
            return 0
        spread, _, readings = numbers
        self._lose(answer, cases, _not_found(readings, solved))
        live = [n for n in pair_of if (w := spread.monitor(n)) is not None and w.low > LIVE_FROM]
        mask = 0
        for other, one in pairwise(live):
            within = spread.difference(one, other)
            for i, case in enumerate(readings if within else ()):
                apart = difference(case, one, other)
                if apart is not None and within is not None and not within.holds(apart):
                    mask |= 1 << i
        return mask

    def _numbers(
        self, answer: StateAnswer, cases: Sequence[Case], solved: Conduction, meters: Collection[Meter]
    ) -> tuple[Spread, Readings, Sequence[Readings | None]] | None:
        """The spread of a state, what is read in it, and under each case; None where the file lacks a
        figure. Raises NoOperatingPoint where the state itself has none."""
        state = answer.state.name
        if not any(map(_numeric, meters)):
            return None
        try:
            self.points.operating_point(state)  # without one no failure is worth solving
            readings = self.points.under_failures.of(answer, cases, solved, 0)
            (healthy,) = self.points.under_failures.of(answer, ((),), answer.healthy)
            spread = _found(self.points.spread(state), state)
        except NoOperatingPoint:
            raise
        except NotAssessable:
            return None
        return None if healthy is None else (spread, healthy, readings)

    def _unknown(self, answer: StateAnswer, spread: Spread) -> bool:
        """Whether a load that has power draws nobody knows what."""
        return any(answer.healthy.powered.get(element, 0) for element in spread.points.undrawn)

    def _comes(self, meter: Meter, before: CaseReading) -> bool:
        """Whether an alarm or lamp of low voltage may come as batteries run down that does not with
        nothing failed; a lamp that is lit may also go out."""
        monitor = self.design.watch.monitors[meter.name]
        below, above = monitor.alarm_below, monitor.alarm_above
        if meter.shows != "voltage" or below is None:
            return False
        error = self._error(meter, before)
        return meter.lamp if _rings(before, below, above, -error) else before.at_least_charge >= below

    def _error(self, meter: Meter, now: CaseReading) -> float:
        """By how much a monitor may read more or less than a reading."""
        return meter_error(self.design, meter, now.value)

    def _giving(self, answer: StateAnswer, cases: Sequence[Case]) -> Mapping[str, int]:
        """By battery (element) the lanes in which it discharges."""
        lanes: dict[int, list[int]] = {}
        given: dict[int, Mapping[str, float]] = {}
        for i, amperes in enumerate(self.points.under_failures.given_each(answer.state.name, cases)):
            lanes.setdefault(id(amperes), []).append(i)  # cases with the same readings share what is given
            given[id(amperes)] = amperes
        batteries = [s.element for s in self.points.network.sources if s.kind == "battery"]
        return {
            e: mask_of(
                (i for key, own in lanes.items() if given[key].get(e, 0.0) > NOTHING_A for i in own),
                len(cases),
            )
            for e in batteries
        }

    def _discharging(self, solved: Conduction, meter: Meter, giving: Mapping[str, int], count: int) -> int:
        """The lanes, of so many cases, in which every battery that feeds what a voltmeter senses
        discharges; ``giving`` are those of :meth:`_giving`."""
        fed = {element: solved.fed[element][meter.ends[0]] for element in giving}
        idle = join(mask & ~giving[element] for element, mask in fed.items())
        return join(fed.values()) & ~idle & ((1 << count) - 1)

    def _turns(self, meter: Meter, before: CaseReading, now: CaseReading, falls: int) -> bool:
        """Whether a lamp surely lights with a failure, or surely goes out."""
        monitor = self.design.watch.monitors[meter.name]
        errors = self._error(meter, before), self._error(meter, now)
        lights = _lit(now, monitor, errors[1], falls) and not _lit(before, monitor, -errors[0])
        goes_out = _lit(before, monitor, errors[0]) and not _lit(now, monitor, -errors[1], falls)
        return lights or goes_out

    def _masks(
        self,
        state: str,
        meter: Meter,
        within: Within,
        before: CaseReading,
        readings: Sequence[Readings | None],
        falls: int,
    ) -> Shown:
        monitor = self.design.watch.monitors[meter.name]
        below, above = monitor.alarm_below, monitor.alarm_above
        levels = (below, above) != (None, None)
        turned = self.points.alarm_sign(meter.name) < 0
        before = _turned(before) if turned else before
        if _rings(before, below, above, -self._error(meter, before)):
            below = above = None
        read = meter.name in self.read_in(state)
        if not read and (below is None or above is None):
            within = self._seen(meter.name, within)
        if turned:
            within = Within(-within.value, -within.high, -within.low)
        low = None if below is not None and not read else within.low
        high = None if above is not None and not read else within.high
        alarmed = meter.shows == "current" and monitor.alarm is not None and not levels and not read
        outside = dark = alarm = known = 0
        for case, falling, lanes in _alike(readings, falls):
            now = case.get(meter.name)
            if now is None:
                continue
            known |= lanes
            now = _turned(now) if turned else now
            if meter.lamp:
                outside |= lanes if self._turns(meter, before, now, falling) else 0
                continue
            if now.blank or before.blank:
                outside |= lanes if now.blank != before.blank else 0
                dark |= lanes if now.blank and not before.blank else 0
                continue
            rings = _rings(now, below, above, self._error(meter, now), falling)
            if rings:
                alarm |= lanes
            under = low is not None and now.value < low - ROUNDING
            beyond = under or (high is not None and now.value > high + ROUNDING)
            if alarmed and _flow(now) == _flow(before):
                beyond = False
            if beyond or (rings and not read):
                outside |= lanes
        return Shown(outside, dark, alarm, known)


def _found(spread: Spread, state: str) -> Spread:
    """A spread of which each point was found. Raises NoOperatingPoint."""
    if spread.unsolved:
        raise NoOperatingPoint(f"no operating point of {state} was found at each end of its tolerances")
    return spread


def _alike(readings: Sequence[Readings | None], falls: int) -> Iterator[tuple[Readings, int, int]]:
    """The cases that share their readings: these, whether what is read falls then, and the lanes."""
    alike: dict[tuple[int, int], list[int]] = {}
    for i, case in enumerate(readings):
        alike.setdefault((id(case), falls >> i & 1), []).append(i)
    for (_, falling), lanes in alike.items():
        if (case := readings[lanes[0]]) is not None:
            yield case, falling, mask_of(lanes, len(readings))


def _not_found(readings: Sequence[Readings | None], solved: Conduction) -> int:
    """The lanes, of those that settle, of which no operating point was found."""
    return sum(1 << i for i, case in enumerate(readings) if case is None) & ~solved.unsettled


def difference(case: Readings | None, one: str, other: str) -> float | None:
    """By how much one voltmeter reads more than another; None where either is dark."""
    mine, theirs = (None, None) if case is None else (case.get(one), case.get(other))
    if mine is None or theirs is None or mine.blank or theirs.blank:
        return None
    return mine.value - theirs.value


def _numeric(meter: Meter) -> bool:
    """Whether a monitor shows a number, or is a lamp that a low voltage or current lights."""
    return meter.shows != "live" and (not meter.lamp or meter.warns_below)


def _lit(now: CaseReading, monitor: Monitor, error: float, falls: int = 0) -> bool:
    """Whether a lamp of a low or high voltage or current is lit, see :func:`_rings`."""
    return not now.blank and _rings(now, monitor.alarm_below, monitor.alarm_above, error, falls)


def _turned(now: CaseReading) -> CaseReading:
    """A current that is read the other way round."""
    return replace(now, value=-now.value, at_least_charge=-now.at_least_charge)


def _flow(now: CaseReading) -> int:
    """The direction of a current that is read, 0 for none that an ammeter tells from zero."""
    return (now.value >= AMPS_STEP) - (now.value <= -AMPS_STEP)


def _rings(now: CaseReading, below: float | None, above: float | None, error: float, falls: int = 0) -> bool:
    """Whether a reading gives an alarm below or above a voltage, or if it ``falls`` comes to it:
    surely, with a meter that may be wrong by ``error``; with one less than 0 whether it may. What falls
    goes on to do so: there the error changes when, not whether."""
    comes = below is not None and (now.value + error < below or (falls and now.at_least_charge < below))
    return comes or (above is not None and now.value - error > above)
