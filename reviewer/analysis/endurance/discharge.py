"""Batteries as they run down: their charges followed in time through stretches whose loads were solved, until one of them gives out.

The currents at every moment are those of a solved operating point at the charges of that moment, so they rise as the volts fall, and a reserve that is
fed through a diode takes its share. A battery that takes current gains what it takes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.charge_sweep import Surface, Sweep

#: share of its charge that the battery that falls fastest loses in one step, and how long is followed
STEP, LONGEST_S = 0.01, 100 * 3600.0
#: rows of the sweep that finds the end
ROWS = 48
#: why a battery gives out
EMPTY, DISCONNECTS, BELOW = "is empty", "disconnects itself", "falls below its minimum"


@record
class Cell:
    """A battery on the day: how its ``store`` empties, the ``charge`` it begins with (0 to 1) and the volts below which it disconnects itself, or None."""

    element: str
    store: Store
    charge: float
    disconnects_below: float | None


@record
class Stretch:
    """A stretch between moves of the crew: ``seconds`` None lasts to the end. ``exact`` solves it at rows of charges; ``needed`` are the elements of the
    loads that must stay above their minimum."""

    name: str
    seconds: float | None
    surface: Surface
    exact: Callable[[Sequence[Sequence[float]]], Sweep]
    needed: tuple[str, ...]


@record
class Run:
    """What a stretch came to: ``seconds`` and the battery's amperes when it began and ended, the ``charge`` left, and amperes ``taken`` by load at its
    beginning."""

    name: str
    seconds: float
    first_a: float
    last_a: float
    charge: float
    taken: Mapping[str, float]


@record
class Moment:
    """A battery at a moment: seconds from the loss, share of charge, volts across its posts, amperes that it gives."""

    seconds: float
    charge: float
    volts: float
    amperes: float


@record
class Discharge:
    """``seconds`` until the battery gives out, infinite where it does not; ``ended_by`` the load that then falls below its minimum, the battery where it
    disconnects itself or is empty, or "" where nothing ends; ``why`` in words; ``charge`` that is then left unused."""

    element: str
    seconds: float
    ended_by: str
    why: str
    charge: float
    runs: tuple[Run, ...]
    curve: tuple[Moment, ...]


class _Followed:
    """The charges of some batteries in time."""

    def __init__(self, cells: Sequence[Cell], target: str):
        self.cells = {c.element: c for c in cells}
        self.target = target
        self.charges = {c.element: c.charge for c in cells}
        self.seconds = 0.0
        self.curve: list[Moment] = []

    def at(self, stretch: Stretch, charges: Mapping[str, float]) -> list[tuple[int, float]]:
        return stretch.surface.corners([charges[b] for b in stretch.surface.sweep.batteries])

    def rates(self, stretch: Stretch, charges: Mapping[str, float]) -> dict[str, float]:
        """Share of charge that each battery loses in a second, less than 0 where it gains; an empty or full one goes on giving or taking, without end."""
        corners, found = self.at(stretch, charges), {}
        for battery, amps in stretch.surface.sweep.amps.items():
            now = sum(amps[i] * w for i, w in corners)
            store = self.cells[battery].store
            found[battery] = (
                1 / seconds_to_empty(store, now)
                if now > 0
                else now / (3600 * store.rated_ah * store.age * store.cold)
            )
        return found

    def step(self, stretch: Stretch, seconds: float) -> dict[str, float]:
        """The charges after some seconds, by Heun's method."""
        first = self.rates(stretch, self.charges)
        there = {b: _share(self.charges[b] - seconds * rate) for b, rate in first.items()}
        then = self.rates(stretch, self.charges | there)
        return self.charges | {b: _share(self.charges[b] - seconds * (first[b] + then[b]) / 2) for b in first}

    def moment(self, stretch: Stretch) -> Moment:
        corners, sweep = self.at(stretch, self.charges), stretch.surface.sweep
        amps, volts = (
            sum(table[self.target][i] * w for i, w in corners) for table in (sweep.amps, sweep.volts)
        )
        return Moment(self.seconds, self.charges[self.target], volts, amps)


def _share(charge: float) -> float:
    return min(1.0, max(0.0, charge))


def discharge(cells: Sequence[Cell], target: str, stretches: Sequence[Stretch]) -> Discharge:
    """Follow the batteries ``cells`` through stretches until the ``target`` gives out: a needed load falls below its minimum, the battery disconnects itself,
    or it is empty. The last stretch has no length. Currents between the knots of a surface are straight; the end is solved exactly."""
    now, runs = _Followed(cells, target), []
    for stretch in stretches:
        began, first = now.seconds, now.moment(stretch)
        corners = now.at(stretch, now.charges)
        taken = {e: sum(amps[i] * w for i, w in corners) for e, amps in stretch.surface.sweep.taken.items()}
        ended = _follow(now, stretch, began)
        last = now.moment(stretch)
        runs.append(Run(stretch.name, now.seconds - began, first.amperes, last.amperes, last.charge, taken))
        if ended is not None:
            return Discharge(
                target, now.seconds, ended[0], ended[1], last.charge, tuple(runs), tuple(now.curve)
            )
    return Discharge(target, math.inf, "", "", now.charges[target], tuple(runs), tuple(now.curve))


def _follow(now: _Followed, stretch: Stretch, began: float) -> tuple[str, str] | None:
    """Follow one stretch to its end; what ended the battery in it, or None. Leaves ``now`` there."""
    safe = (now.seconds, now.charges)
    while True:
        now.curve.append(now.moment(stretch))
        if found := _over(now, stretch):
            return (
                _exactly(now, stretch, safe) if found[0] != now.target or found[1] == DISCONNECTS else found
            )
        if _clear(now, stretch):
            safe = (now.seconds, now.charges)
        left = math.inf if stretch.seconds is None else began + stretch.seconds - now.seconds
        rates = now.rates(stretch, now.charges)
        fastest = max(abs(rate) for rate in rates.values())
        seconds = min(left, STEP / fastest if fastest > 0 else math.inf)
        if rates[now.target] > 0:  # not beyond empty
            seconds = min(seconds, now.charges[now.target] / rates[now.target])
        if math.isinf(seconds) or now.seconds + seconds > LONGEST_S:
            now.seconds = math.inf
            return None
        if seconds <= 0:
            return None
        now.charges, now.seconds = now.step(stretch, seconds), now.seconds + seconds


def _over(now: _Followed, stretch: Stretch) -> tuple[str, str] | None:
    corners, sweep = now.at(stretch, now.charges), stretch.surface.sweep
    if now.charges[now.target] <= 1e-6:
        return now.target, EMPTY
    spare = {e: sum(sweep.spare[e][i] * w for i, w in corners) for e in stretch.needed}
    if spare and min(spare.values()) < 0:
        return min(spare, key=lambda e: spare[e]), BELOW
    least = now.cells[now.target].disconnects_below
    if least is not None and sum(sweep.volts[now.target][i] * w for i, w in corners) < least:
        return now.target, DISCONNECTS
    return None


def _clear(now: _Followed, stretch: Stretch) -> bool:
    """Whether every corner of the cell that holds the charges is above every limit: then so is all between."""
    sweep, least = stretch.surface.sweep, now.cells[now.target].disconnects_below
    rows = [i for i, _ in now.at(stretch, now.charges)]
    if least is not None and min(sweep.volts[now.target][i] for i in rows) < least:
        return False
    return all(sweep.spare[e][i] >= 0 for e in stretch.needed for i in rows)


def _exactly(now: _Followed, stretch: Stretch, safe: tuple[float, Mapping[str, float]]) -> tuple[str, str]:
    """The end between a moment that was clear of every limit and now, solved at charges between them. Leaves ``now`` there."""
    began, (from_s, from_charges) = (now.seconds, now.charges), safe
    shares = [k / (ROWS - 1) for k in range(ROWS)]
    between = [{b: from_charges[b] + (began[1][b] - from_charges[b]) * s for b in began[1]} for s in shares]
    sweep = stretch.exact([[charges[b] for b in stretch.surface.sweep.batteries] for charges in between])
    least = now.cells[now.target].disconnects_below
    limits: list[tuple[str, str, Sequence[float]]] = [(e, BELOW, sweep.spare[e]) for e in stretch.needed]
    if least is not None:
        limits.append((now.target, DISCONNECTS, [volts - least for volts in sweep.volts[now.target]]))
    # the share of the way at which each limit is met, the first of them
    share, name, why = min((_crossing(values, shares), name, why) for name, why, values in limits)
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


def _crossing(values: Sequence[float], shares: Sequence[float]) -> float:
    for i, value in enumerate(values):
        if value < 0:
            if i == 0:
                return shares[0]
            above = values[i - 1]
            return shares[i - 1] + (shares[i] - shares[i - 1]) * above / (above - value)
    return shares[-1]
