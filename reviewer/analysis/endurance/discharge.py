"""Discharge of batteries: their states of charge followed in time through segments whose loads were
solved, until one of them is exhausted.

The currents at every moment are those of a solved operating point at the states of charge of that
moment, so they rise as the volts fall, and a reserve that is fed through a diode takes its share. A
battery that takes current gains what it takes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from enum import StrEnum
from typing import TYPE_CHECKING

from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.charge_sweep import Surface, Sweep

#: step of the state of charge of the battery that falls fastest; longest time that is followed, s
STEP, LONGEST_S = 0.01, 100 * 3600.0
#: rows of the sweep that finds the end; state of charge at which a battery is empty
ROWS, EMPTY = 48, 1e-6


class Ending(StrEnum):
    """Why a battery is exhausted."""

    EMPTY = "is empty"
    DISCONNECTS = "disconnects itself"
    BELOW_MINIMUM = "falls below its minimum"
    NO_POWER = "has no power"
    NONE = ""


@record
class Cell:
    """A battery on the day: how its ``store`` empties, the state of ``charge`` it begins with (0 to
    1) and the volts below which it disconnects itself, or None."""

    element: str
    store: Store
    charge: float
    low_voltage_disconnect: float | None


@record
class DischargeSegment:
    """A segment between crew actions: ``seconds`` None lasts to the end. ``exact`` solves it
    at rows of charges; ``needed`` are the elements of the loads that must stay above their minimum.
    ``without`` gives the segment as it is once a battery is flat, from where it began.
    """

    name: str
    seconds: float | None
    surface: Surface
    exact: Callable[[Sequence[Sequence[float]]], Sweep]
    needed: tuple[str, ...]
    without: Callable[[str], DischargeSegment] | None = None


@record
class SegmentResult:
    """Result of a segment: ``seconds`` and the battery's amperes when it began and ended, the state
    of ``charge`` left, and amperes ``taken`` by load at its beginning."""

    name: str
    seconds: float
    first_a: float
    last_a: float
    charge: float
    taken: Mapping[str, float]


@record
class Moment:
    """A battery at a moment: seconds from the loss, state of charge, terminal volts, amperes that
    it gives."""

    seconds: float
    charge: float
    volts: float
    amperes: float


@record
class Discharge:
    """``seconds`` until the battery is exhausted, infinite where it never is; ``ended_by`` the load
    that then falls below its minimum, the battery, or one in series with it, that disconnects itself
    or is empty, or "" where nothing ends; ``why`` in words; state of ``charge`` that is then left
    unused."""

    element: str
    seconds: float
    ended_by: str
    why: Ending
    charge: float
    runs: tuple[SegmentResult, ...]
    curve: tuple[Moment, ...]


class Followed:
    """The charges of some batteries in time; ``curve`` has those moments of the ``target`` that its
    follower keeps."""

    def __init__(self, cells: Sequence[Cell], target: str = ""):
        self.cells = {c.element: c for c in cells}
        self.target = target
        self.charges = {c.element: c.charge for c in cells}
        self.seconds = 0.0
        self.curve: list[Moment] = []
        #: the corners around charges, of the surface that was asked of last
        self._corners: tuple[Surface | None, dict[tuple[float, ...], list[tuple[int, float]]]] = None, {}

    def at(self, surface: Surface, charges: Mapping[str, float]) -> list[tuple[int, float]]:
        """(row, weight) of the corners around some charges."""
        if self._corners[0] is not surface:
            self._corners = surface, {}
        known, here = self._corners[1], tuple([charges[b] for b in surface.sweep.batteries])
        if here not in known:
            known[here] = surface.corners(here)
        return known[here]

    def rates(self, surface: Surface, charges: Mapping[str, float]) -> dict[str, float]:
        """Fall of the state of charge of each battery, 1/s, less than 0 where it gains; an empty or
        full one goes on giving or taking, without limit."""
        corners, found = self.at(surface, charges), {}
        for battery, amps in surface.sweep.amps.items():
            now = sum(amps[i] * w for i, w in corners)
            store = self.cells[battery].store
            found[battery] = (
                1 / seconds_to_empty(store, now)
                if now > 0
                else now / (3600 * store.rated_ah * store.age * store.cold)
            )
        return found

    def step(self, surface: Surface, seconds: float, first: Mapping[str, float]) -> dict[str, float]:
        """The charges after some seconds, by Heun's method; ``first`` are the :meth:`rates` now."""
        there = {b: _share(self.charges[b] - seconds * rate) for b, rate in first.items()}
        then = self.rates(surface, self.charges | there)
        return self.charges | {b: _share(self.charges[b] - seconds * (first[b] + then[b]) / 2) for b in first}

    def longest_step(self, rates: Mapping[str, float]) -> float:
        """Seconds after which no charge has changed much, and none is beyond empty."""
        fastest = max(map(abs, rates.values()), default=0.0)
        empty = (self.charges[b] / rate for b, rate in rates.items() if rate > 0)
        return min([STEP / fastest if fastest else math.inf, *empty])

    def flat(self, surface: Surface, rates: Mapping[str, float]) -> str:
        """A battery that is empty or has disconnected itself, the target left aside; "" for none."""
        corners = self.at(surface, self.charges)
        for battery, rate in rates.items():
            least = self.cells[battery].low_voltage_disconnect
            volts = sum(surface.sweep.volts[battery][i] * w for i, w in corners)
            empty = rate > 0 and self.charges[battery] <= EMPTY
            if battery != self.target and (empty or (least is not None and volts < least)):
                return battery
        return ""

    def moment(self, surface: Surface) -> Moment:
        """The target now."""
        corners, sweep = self.at(surface, self.charges), surface.sweep
        amps, volts = (
            sum(table[self.target][i] * w for i, w in corners) for table in (sweep.amps, sweep.volts)
        )
        return Moment(self.seconds, self.charges[self.target], volts, amps)


def _share(charge: float) -> float:
    return min(1.0, max(0.0, charge))


def discharge(cells: Sequence[Cell], target: str, segments: Sequence[DischargeSegment]) -> Discharge:
    """Follow the batteries ``cells`` through segments until the ``target`` is exhausted: a needed
    load falls below its minimum, the battery disconnects itself, or it is empty. The last segment
    has no length. Currents between the knots of a surface are straight; the end is solved exactly.
    """
    now, runs = Followed(cells, target), []
    for segment in segments:
        began, first = now.seconds, now.moment(segment.surface)
        corners = now.at(segment.surface, now.charges)
        taken = {e: sum(amps[i] * w for i, w in corners) for e, amps in segment.surface.sweep.taken.items()}
        ended, segment = _follow(now, segment, began)
        last = now.moment(segment.surface)
        runs.append(
            SegmentResult(segment.name, now.seconds - began, first.amperes, last.amperes, last.charge, taken)
        )
        if ended is not None:
            return Discharge(
                target, now.seconds, ended[0], ended[1], last.charge, tuple(runs), tuple(now.curve)
            )
    return Discharge(target, math.inf, "", Ending.NONE, now.charges[target], tuple(runs), tuple(now.curve))


def _follow(
    now: Followed, segment: DischargeSegment, began: float
) -> tuple[tuple[str, Ending] | None, DischargeSegment]:
    """Follow one segment to its end, without the other batteries from when they are flat; what
    ended the battery in it, or None, and what was followed last. Leaves ``now`` there."""
    safe = (now.seconds, now.charges)
    while True:
        now.curve.append(now.moment(segment.surface))
        if found := _over(now, segment):
            exactly = found[1] in (Ending.BELOW_MINIMUM, Ending.DISCONNECTS)
            return (_exactly(now, segment, safe) if exactly else found), segment
        if _clear(now, segment):
            safe = (now.seconds, now.charges)
        left = math.inf if segment.seconds is None else began + segment.seconds - now.seconds
        rates = now.rates(segment.surface, now.charges)
        if segment.without is not None and (flat := now.flat(segment.surface, rates)):
            later = segment.without(flat)
            if now.target not in later.surface.sweep.amps:  # in series with the flat one it gives nothing
                return (flat, Ending.EMPTY), segment
            segment, safe = later, (now.seconds, now.charges)
            now.curve.pop()
            continue
        seconds = min(left, now.longest_step(rates))
        if math.isinf(seconds) or now.seconds + seconds > LONGEST_S:
            now.seconds = math.inf
            return None, segment
        if seconds <= 0:
            return None, segment
        now.charges, now.seconds = now.step(segment.surface, seconds, rates), now.seconds + seconds


def _over(now: Followed, segment: DischargeSegment) -> tuple[str, Ending] | None:
    corners, sweep = now.at(segment.surface, now.charges), segment.surface.sweep
    if now.charges[now.target] <= EMPTY:
        return now.target, Ending.EMPTY
    if dark := next((e for e in segment.needed if e not in sweep.spare), ""):
        return dark, Ending.NO_POWER
    spare = {e: sum(sweep.spare[e][i] * w for i, w in corners) for e in segment.needed}
    if spare and min(spare.values()) < 0:
        return min(spare, key=lambda e: spare[e]), Ending.BELOW_MINIMUM
    least = now.cells[now.target].low_voltage_disconnect
    if least is not None and sum(sweep.volts[now.target][i] * w for i, w in corners) < least:
        return now.target, Ending.DISCONNECTS
    return None


def _clear(now: Followed, segment: DischargeSegment) -> bool:
    """Whether every corner of the cell that holds the charges is above every limit: then so is all
    between."""
    sweep, least = segment.surface.sweep, now.cells[now.target].low_voltage_disconnect
    rows = [i for i, _ in now.at(segment.surface, now.charges)]
    if least is not None and min(sweep.volts[now.target][i] for i in rows) < least:
        return False
    return all(sweep.spare[e][i] >= 0 for e in segment.needed for i in rows)


def _exactly(
    now: Followed, segment: DischargeSegment, safe: tuple[float, Mapping[str, float]]
) -> tuple[str, Ending]:
    """The end between a moment that was clear of every limit and now, solved at charges between
    them. Leaves ``now`` there."""
    began, (from_s, from_charges) = (now.seconds, now.charges), safe
    shares = [k / (ROWS - 1) for k in range(ROWS)]
    between = [{b: from_charges[b] + (began[1][b] - from_charges[b]) * s for b in began[1]} for s in shares]
    sweep = segment.exact([[charges[b] for b in segment.surface.sweep.batteries] for charges in between])
    least = now.cells[now.target].low_voltage_disconnect
    limits: list[tuple[str, Ending, Sequence[float]]] = [
        (e, Ending.BELOW_MINIMUM, sweep.spare[e]) for e in segment.needed
    ]
    if least is not None:
        limits.append((now.target, Ending.DISCONNECTS, [volts - least for volts in sweep.volts[now.target]]))
    # the share of the distance at which each limit is met, the first of them
    share, name, why = min((crossing(values, shares), name, why) for name, why, values in limits)
    now.seconds = from_s + (began[0] - from_s) * share
    now.charges = {b: from_charges[b] + (began[1][b] - from_charges[b]) * share for b in began[1]}
    now.curve = [m for m in now.curve if m.seconds < now.seconds]
    row = math.ceil(share * (ROWS - 1))
    now.curve.append(
        Moment(
            now.seconds, now.charges[now.target], sweep.volts[now.target][row], sweep.amps[now.target][row]
        )
    )
    return name, why


def crossing(values: Sequence[float], shares: Sequence[float]) -> float:
    """The share at which some values first fall below zero; the last one where none does."""
    for i, value in enumerate(values):
        if value < 0:
            if i == 0:
                return shares[0]
            above = values[i - 1]
            return shares[i - 1] + (shares[i] - shares[i - 1]) * above / (above - value)
    return shares[-1]
