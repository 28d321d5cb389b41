"""All batteries followed together through segments until each function is lost: a battery that is
empty, or disconnects itself, drops out, and the others are followed on without it.

A function works while enough of its loads have power and at least their minimum voltage; what a
unit goes on for by a battery inside it is added afterwards (:mod:`own_batteries`). Its first loss
counts. A flat battery that the crew joins to another one takes what it accepts.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING, Any

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import function_masks, loads_of
from reviewer.analysis.endurance.battery_endurance import scenario_after_loss
from reviewer.analysis.endurance.discharge import EMPTY, LONGEST_S, Cell, Ending, Followed, crossing
from reviewer.analysis.endurance.discharge_surfaces import DischargeSurfaces
from reviewer.analysis.endurance.shedding import SheddingSegment
from reviewer.model.record import record
from reviewer.network.graph import holder

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.charge_sweep import Surface
    from reviewer.analysis.operating_point.circuit_build import Scenario
    from reviewer.model.design import Design

#: rows of the sweep that finds the loss of a function
ROWS = 32
Charges = Mapping[str, float]
#: seconds from the loss, what is flown, states of charge
DepletionMoment = tuple[float, "Scenario", Charges]


class Stop(StrEnum):
    """Why a load stops."""

    UNDERVOLTAGE = "falls below its minimum voltage"
    NO_POWER = "has no power"
    TURNED_OFF = "is turned off"

    @property
    def of_several(self) -> str:
        """The same of several loads."""
        several = {
            Stop.UNDERVOLTAGE: "fall below their minimum voltage",
            Stop.NO_POWER: "have no power",
            Stop.TURNED_OFF: "are turned off",
        }
        return several[self]


@record
class LoadStop:
    """A load (element) that stops ``seconds`` after the loss; a source or bus where the function has no
    load."""

    load: str
    seconds: float
    why: Stop


@record
class BatteryOut:
    """A battery (element) that gives nothing more from ``seconds`` after the loss."""

    battery: str
    seconds: float
    why: Ending


@record
class FunctionLoss:
    """A function that is lost with ``stop``, in a segment of the course, with these states of charge
    and these batteries out."""

    function: str
    stop: LoadStop
    segment: SheddingSegment
    charges: Charges
    out: tuple[BatteryOut, ...]

    @property
    def seconds(self) -> float:
        """Seconds from the loss of all generation."""
        return self.stop.seconds


@record
class Depletion:
    """``losses`` by function; ``stops`` the first stop of each load of the functions; ``trail`` the
    moments."""

    losses: Mapping[str, FunctionLoss]
    stops: Mapping[str, LoadStop]
    out: tuple[BatteryOut, ...]
    trail: tuple[DepletionMoment, ...]

    def lost_at(self, function: str) -> float:
        """Seconds at which a function is lost; infinite where it is not."""
        return self.losses[function].seconds if function in self.losses else math.inf


@record
class Loss:
    """What is lost, and in which phase: the failures of the sources, the loads of the phase, the
    functions that are followed until all are lost; without any, all batteries to their end."""

    case: tuple[Failure, ...]
    phase: str | None
    functions: tuple[str, ...]


class Depleted:
    """Batteries on the day, followed through segments."""

    def __init__(self, surfaces: DischargeSurfaces, cells: Sequence[Cell], loss: Loss):
        self.surfaces, self.loss = surfaces, loss
        self.design, self.network = surfaces.operating.design, surfaces.operating.network
        self.now = Followed(cells)
        self.loads = {f: tuple(f"parts/{n}" for n in loads_of(self.design, f)) for f in loss.functions}
        self.watched = tuple(dict.fromkeys(e for loads in self.loads.values() for e in loads))
        self.losses: dict[str, FunctionLoss] = {}
        self.stops: dict[str, LoadStop] = {}
        self.out: list[BatteryOut] = []
        self.trail: list[DepletionMoment] = []
        #: the loads that work at the last moment
        self.working: dict[str, None] = {}

    def later(self, at: FunctionLoss) -> Depleted:
        """The same batteries from the loss of a function on; one that has disconnected itself stays
        out."""
        self.now.seconds, self.now.charges = at.seconds, dict(at.charges)
        self.out = [one for one in at.out if one.why is Ending.DISCONNECTS]
        return self

    def through(self, segments: Sequence[SheddingSegment]) -> Depletion:
        """What comes of some segments; the last one has no length. Raises NotAssessable."""
        for i, segment in enumerate(segments):
            ends = math.inf if segment.seconds is None else self.now.seconds + segment.seconds
            why = Stop.TURNED_OFF if i else Stop.NO_POWER
            flat = {one.battery for one in self.out if one.why is Ending.DISCONNECTS}
            while gone := self._until_one_drops_out(segment, flat, ends, why):
                if gone.battery not in {one.battery for one in self.out}:
                    self.out.append(gone)
                flat.add(gone.battery)
                why = Stop.NO_POWER
            if math.isinf(self.now.seconds) or self._all_lost():
                break
        return Depletion(self.losses, self.stops, tuple(self.out), tuple(self.trail))

    def _all_lost(self) -> bool:
        return bool(self.loss.functions) and len(self.losses) == len(self.loss.functions)

    def _until_one_drops_out(
        self, segment: SheddingSegment, flat: Collection[str], ends: float, why: Stop
    ) -> BatteryOut | None:
        """Follow a segment until a battery drops out; None where it ends before, or nothing is left
        to find."""
        now = self.now
        case = (*self.loss.case, *(Failure(battery, OPEN) for battery in sorted(flat)))
        solved = conduct(self.network, segment.state, (case,), segment.now) if flat else segment.now
        scenario = scenario_after_loss(self.surfaces.operating, segment.state, solved, case, self.loss.phase)
        leg = _Leg(self, segment, scenario)
        leg.without_power(why)
        if self._all_lost() and not any(scenario.conduction.alive.values()):  # there is nothing to solve
            self.trail.append((now.seconds, scenario, dict(now.charges)))
            return None
        surface = leg.surface
        while True:
            leg.look()
            self.trail.append((now.seconds, scenario, dict(now.charges)))
            if self._all_lost() or now.seconds >= ends:
                return None
            rates = now.rates(surface, now.charges)
            for battery, rate in rates.items():
                if rate > 0 and now.charges[battery] <= EMPTY:
                    return BatteryOut(battery, now.seconds, Ending.EMPTY)
            seconds = min(ends - now.seconds, now.longest_step(rates))
            if now.seconds + seconds > LONGEST_S:
                now.seconds = math.inf
                return None
            before = now.seconds, dict(now.charges)
            now.charges, now.seconds = now.step(surface, seconds, rates), now.seconds + seconds
            if gone := leg.disconnected(before):
                leg.look()
                return gone


class _Leg:
    """What is flown without change from one battery that drops out to the next."""

    def __init__(self, course: Depleted, segment: SheddingSegment, scenario: Scenario):
        self.course, self.segment, self.scenario = course, segment, scenario
        #: by function, the last moment at which it worked at every corner around the charges
        self.safe: dict[str, tuple[float, Charges]] = {}
        self._powered = _fed(scenario.conduction.powered)
        #: the functions, by the loads that have less than their minimum
        self._known: dict[frozenset[str], Mapping[str, int]] = {}
        #: the loads that have less, by whether each of those that are followed has; those of the last moment
        self._less: dict[bytes, frozenset[str]] = {}
        self._low: frozenset[str] | None = None
        #: the functions that work at every corner of a cell, by its rows
        self._clear: dict[tuple[int, ...], Mapping[str, int]] = {}
        #: the margins of loads, by the rows of charges at which they were solved
        self._solved: dict[tuple[tuple[float, ...], ...], Mapping[str, Sequence[float]]] = {}

    @cached_property
    def surface(self) -> Surface:
        """The volts over the states of charge. Raises NotAssessable."""
        return self.course.surfaces.of(self.scenario, self.segment.seconds)

    @cached_property
    def _spare(self) -> tuple[tuple[str, ...], Any]:
        """The loads that are followed, and their volts above the minimum, (states of charge, loads)."""
        import numpy as np

        spare, rows = self.surface.sweep.spare, math.prod(map(len, self.surface.knots))
        elements = tuple(e for e in self.course.watched if e in spare)
        return elements, np.array([spare[e] for e in elements], float).reshape(len(elements), rows).T

    def without_power(self, why: Stop) -> None:
        """The loads that have lost their power with what was done, and the functions."""
        course, powered = self.course, self.scenario.conduction.powered
        at = course.now.seconds
        stopped = [LoadStop(e, at, why) for e in course.working if not powered[e]]
        for stop in stopped:
            course.stops.setdefault(stop.load, stop)
            del course.working[stop.load]
        works = self._working(frozenset())
        for function in [f for f in course.loads if f not in course.losses and not works[f]]:
            loads = course.loads[function] or (_first_channel(course.design, function),)
            stop = next((s for s in stopped if s.load in loads), LoadStop(loads[0], at, why))
            self._lost(function, stop, course.now.charges)

    def look(self) -> None:
        """The functions and loads at this moment."""
        course, now = self.course, self.course.now
        corners = now.at(self.surface, now.charges)
        spare, rows = self._spare[1], tuple(i for i, _ in corners)
        low = self._below(sum(spare[i] * w for i, w in corners))
        works = self._working(low)
        if rows not in self._clear:
            self._clear[rows] = self._working(self._below(spare[list(rows)].min(axis=0)))
        clear = self._clear[rows]
        for function in course.loads:
            if function in course.losses:
                continue
            if not works[function] and (found := self._exactly(function)):
                self._lost(function, *found)
            elif clear[function]:
                self.safe[function] = now.seconds, dict(now.charges)
        if low == self._low:
            return
        self._low, followed = low, self.surface.sweep.spare
        for element in course.watched:
            if element in followed and element not in low and self.scenario.conduction.powered[element]:
                course.working[element] = None
            elif element in course.working:
                del course.working[element]
                course.stops.setdefault(element, LoadStop(element, now.seconds, Stop.UNDERVOLTAGE))

    def _below(self, margins: Any) -> frozenset[str]:
        """The loads that are followed whose ``margins``, volts in their order, are not 0 or more."""
        short = ~(margins >= 0)
        key = short.tobytes()
        if key not in self._less:
            self._less[key] = frozenset(self._spare[0][i] for i in short.nonzero()[0])
        return self._less[key]

    def disconnected(self, before: tuple[float, Charges]) -> BatteryOut | None:
        """The battery that first disconnects itself between a moment and now. Leaves the course
        there."""
        now, volts = self.course.now, self.surface.sweep.volts
        limits = {b: least for b in volts if (least := now.cells[b].low_voltage_disconnect) is not None}
        if not limits:
            return None
        corners = [now.at(self.surface, charges) for charges in (before[1], now.charges)]
        first: tuple[float, str] | None = None
        for battery, least in limits.items():
            then, after = (sum(volts[battery][i] * w for i, w in some) - least for some in corners)
            if after < 0:
                share = 0.0 if then <= 0 else then / (then - after)
                first = min(first or (share, battery), (share, battery))
        if first is None:
            return None
        share, battery = first
        now.seconds = before[0] + (now.seconds - before[0]) * share
        now.charges = _between(before[1], now.charges, share)
        return BatteryOut(battery, now.seconds, Ending.DISCONNECTS)

    def _working(self, low: frozenset[str]) -> Mapping[str, int]:
        """The functions, where some loads have less than their minimum."""
        if low not in self._known:
            holds = {e: 0 if e in low else mask for e, mask in self._powered.items()}
            self._known[low] = function_masks(self.course.design, holds, 1, self.course.loads)
        return self._known[low]

    def _exactly(self, function: str) -> tuple[LoadStop, Charges] | None:
        """The stop with which a function is lost between the last moment that was clear and now,
        solved at charges between them; None where it is not lost yet."""
        course, now = self.course, self.course.now
        began, charges = self.safe.get(function, (now.seconds, now.charges))
        shares = [k / (ROWS - 1) for k in range(ROWS)] if began < now.seconds else [0.0]
        between = [_between(charges, now.charges, share) for share in shares]
        batteries = self.surface.sweep.batteries
        rows = tuple(tuple(at[b] for b in batteries) for at in between)
        if rows not in self._solved:  # functions are often lost together
            self._solved[rows] = course.surfaces.exact(self.scenario, rows).spare
        spare = self._solved[rows]
        stopping = sorted(
            (crossing(spare[e], shares), e)
            for e in course.loads[function]
            if e in spare and any(margin < 0 for margin in spare[e])
        )
        low: frozenset[str] = frozenset()
        for share, element in stopping:
            low |= {element}
            if not self._working(low)[function]:
                at = began + (now.seconds - began) * share
                return LoadStop(element, at, Stop.UNDERVOLTAGE), _between(charges, now.charges, share)
        return None

    def _lost(self, function: str, stop: LoadStop, charges: Charges) -> None:
        course = self.course
        course.losses[function] = FunctionLoss(function, stop, self.segment, dict(charges), tuple(course.out))


def _first_channel(design: Design, function: str) -> str:
    """The source or bus (element) that a function without loads names first."""
    name = function
    while name in design.functions:
        name = design.functions[name].of[0]
    return f"parts/{name}"


def _fed(powered: Mapping[str, int]) -> Mapping[str, int]:
    """What has power, without the batteries inside units."""
    return {e: mask for e, mask in powered.items() if holder(e) == e}


def _between(one: Charges, other: Charges, share: float) -> dict[str, float]:
    return {battery: one[battery] + (other[battery] - one[battery]) * share for battery in one}
