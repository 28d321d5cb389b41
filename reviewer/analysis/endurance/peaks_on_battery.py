"""Undervoltage at peak: needed loads when two others draw their peaks at once, near the end of the
required endurance of the main battery."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import accumulate
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_from
from reviewer.analysis.conduction.scenarios import lanes_of_moves
from reviewer.analysis.crew.moves import excluded, moved
from reviewer.analysis.endurance.battery_endurance import BatteryEndurance, needed_loads, scenario_after_loss
from reviewer.analysis.endurance.shedding import after_loss
from reviewer.analysis.not_assessable import NotAssessable, gaps
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.cold_batteries import cold_factors, cold_range
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import bare
from reviewer.tables.interpolation import interpolate
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints

#: seconds without supply that a unit must bear for its own dip not to count
BRIDGED_S = practice("seconds", "hold-up-through-a-dip").low


@record
class Peak:
    """A load at its peak: ``amperes`` in all, ``more`` than it takes as the state stands, and the
    switch that is held for it (name, position), or None."""

    load: str
    amperes: float
    more: float
    move: tuple[str, str] | None


@record
class PeakUndervoltage:
    """The two largest peaks that can come together after what is shed by then, with the main
    battery at a state of ``charge`` (0 to 1); ``low`` are needed loads below their minimum then:
    (load, volts, minimum)."""

    battery: str
    state: str
    peaks: tuple[Peak, ...]
    charge: float
    volts: float
    low: tuple[tuple[str, float, float], ...]
    typical: tuple[str, ...]


def undervoltage_at_peak(
    operating: OperatingPoints, endurance: BatteryEndurance, wanted: float
) -> PeakUndervoltage:
    """Undervoltage of the loads that a main battery must carry when two peaks meet, ``wanted``
    seconds after the loss of the alternator. Raises NotAssessable."""
    from reviewer.analysis.operating_point.points import Figures, solve_points

    battery = endurance.battery
    case = tuple(Failure(f"parts/{name}", OPEN) for name in endurance.lost)
    ran = _flown_at(endurance, wanted)
    last = after_loss(operating, case, operating.states.declared[endurance.state])[ran]
    needed = needed_loads(operating, battery, last.now, None)
    taken = {bare(e): amps for e, amps in endurance.found.runs[ran].taken.items()}
    peaks = _largest(operating, last.state, last.now, case, taken, needed)
    state = last.state
    for peak in peaks:
        if peak.move:
            state, _ = moved(operating.design, state, dict([peak.move]))
    now = conduct(operating.network, state, (case,), last.now)
    scenario = scenario_after_loss(operating, state, now, case, endurance.phase)
    charge = charge_at(endurance, wanted)
    figures = Figures(
        loads={f"parts/{k.load}": k.amperes for k in peaks},
        state_of_charge={f"parts/{battery}": charge},
        ageing=cold_factors(operating.design, cold_range().high),
    )
    points = assessed(
        lambda: solve_points(operating.design, operating.network, scenario, figures, 1, operating.wiring)
    )
    points.require_found()
    if missing := {bare(e): key for e, key in (*points.undrawn.items(), *points.unsized.items())}:
        raise NotAssessable(gaps(missing))
    low = []
    for element in needed if peaks else ():  # what is too low without a peak ends the endurance
        part = operating.design.parts[bare(element)]
        if not now.powered[element] & 1 and any(peak.move for peak in peaks):
            continue  # a switch that was moved turned it off
        if element not in points.built.loads:
            words = f"a state in which {bare(element)} is powered while both peak loads are on"
            raise NotAssessable(words)
        volts = float(points.across(element)[0])
        if (
            bare(element) not in [k.load for k in peaks]
            and volts < part.minimum
            and part.bridging < BRIDGED_S
        ):
            low.append((bare(element), volts, part.minimum))
    posts = float(points.across(f"parts/{battery}")[0])
    return PeakUndervoltage(
        battery, endurance.state, peaks, charge, posts, tuple(low), tuple(map(str, points.assumed))
    )


def _flown_at(endurance: BatteryEndurance, seconds: float) -> int:
    """The number of the segment that is flown at a time after the loss; the last one that was
    reached where the battery was exhausted before."""
    ends = list(accumulate(run.seconds for run in endurance.found.runs))
    return next((i for i, end in enumerate(ends) if seconds < end), len(ends) - 1)


def charge_at(endurance: BatteryEndurance, seconds: float) -> float:
    """State of charge of a battery at a time after the loss; what is left at the end where it was
    exhausted before."""
    points = [(moment.seconds, moment.charge) for moment in endurance.found.curve]
    if not points or seconds > points[-1][0]:
        return endurance.found.charge
    return interpolate(points, max(seconds, points[0][0]))


def _largest(
    operating: OperatingPoints,
    state: ResolvedState,
    now: Conduction,
    case: tuple[Failure, ...],
    taken: Mapping[str, float],
    needed: Iterable[str],
) -> tuple[Peak, ...]:
    """The two loads that add most when they draw their peaks: of those that have power, and of
    those that one switch gives it, after the loss as well, if it can by a move that leaves every
    load ``needed`` on. The two moves must go together."""
    parts = operating.design.parts
    wanted = {
        n
        for n in operating.design.of_kind(p.Consumer)
        if parts[n].peak is not None or parts[n].duty == "intermittent"
    }
    wanted = {n for n in wanted if getattr(parts[n], "type", None) != "starter"}
    found = {
        n: Peak(n, parts[n].peak or 0.0, (parts[n].peak or 0.0) - taken.get(n, 0.0), None)
        for n in wanted
        if now.powered[f"parts/{n}"] & 1
    }
    tried = []
    for name in operating.design.settable:
        positions = parts[name].positions if isinstance(parts[name], p.Switch) else ("closed", "open")
        for position in positions:
            other = replace(state, switches={**state.switches, name: position})
            if state.switches.get(name) != position and not excluded(operating.design, other):
                tried.append(((name, position), other))
    powered = _powered(operating, [other for _, other in tried], now, case)
    lanes = {lane: sum(not powered[e] >> lane & 1 for e in needed) for lane in range(len(tried))}
    for lane in sorted(lanes, key=lanes.__getitem__):
        move = tried[lane][0]
        for n in wanted - found.keys():
            if powered[f"parts/{n}"] >> lane & 1:
                found[n] = Peak(n, parts[n].peak or 0.0, parts[n].peak or 0.0, move)
    missing = {n: "`peak`" for n in found if parts[n].peak is None}
    if missing:
        raise NotAssessable(gaps(missing))
    chosen: list[Peak] = []
    for peak in sorted(found.values(), key=lambda k: -k.more):
        if peak.more > 0 and all(_together(operating.design, state, peak, other) for other in chosen):
            chosen.append(peak)
    return tuple(chosen[:2])


def _powered(
    operating: OperatingPoints, states: list[ResolvedState], now: Conduction, case: tuple[Failure, ...]
) -> Mapping[str, int]:
    """For each load the states, as a mask, in which it has power after a loss; ``now`` is before the
    switches are moved."""
    if not states:
        return dict.fromkeys(now.powered, 0)
    every = (1 << len(states)) - 1
    lanes = lanes_of_moves(operating.network, states, [case], {}, {})
    before = [{e: every if mask & 1 else 0 for e, mask in m.items()} for m in (now.energised, now.alive)]
    return conduct_from(operating.network, lanes, *before).powered


def _together(design: Design, state: ResolvedState, one: Peak, other: Peak) -> bool:
    """Whether the switches can be moved for two peaks at once: one switch has one position."""
    if one.move is None or other.move is None:
        return True
    both = replace(state, switches={**state.switches, **dict([one.move, other.move])})
    return one.move[0] != other.move[0] and not excluded(design, both)
