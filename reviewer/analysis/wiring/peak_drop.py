"""The run of each load while it takes its largest current, and all others theirs as usual.

A load that is fed in none of the states is looked for with one switch moved from the normal state:
the flaps move only while their switch is held.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.exclusions import ways_along
from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.wiring.voltage_drop import CircuitRun, Sounding, circuit_run
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
    from reviewer.analysis.operating_point.points import Points


@record
class PeakCase:
    """Where a load is at its peak: a solved state, declared or with the switch of ``moved``
    (switch, position) moved from the normal state, and the phase whose currents the other loads
    take."""

    answer: StateAnswer
    phase: str | None
    moved: tuple[str, str] | None = None

    def __str__(self) -> str:
        name = self.answer.state.name
        if self.moved:
            return f"{name} with {self.moved[0]} at {self.moved[1]}"
        return name if self.phase in (None, name) else f"{name} ({self.phase})"


@record
class PeakRun:
    """The ``run`` of a load at its peak, and where; ``lacks`` names what the file lacks for it, ""
    where nothing."""

    place: PeakCase
    run: CircuitRun
    lacks: str


def fed_by_a_move(
    design: Design, network: Network, dispatch: StateAnswer, loads: Sequence[str], cranking: bool = True
) -> dict[str, PeakCase]:
    """For each of some loads that one switch moved from the normal state feeds: the first such
    place. A move takes along what an exclusion makes it take. Some may have none. Without
    ``cranking`` a move that runs a starter is left out."""
    if not loads:
        return {}
    state, moved, states = dispatch.state, {}, []
    for name in design.settable:
        part = design.parts[name]
        for position in part.positions if isinstance(part, p.Switch) else ("closed", "open"):
            at = {**state.switches, name: position}
            along = next(ways_along(design, at, name), None)
            if state.switches.get(name) != position and along is not None:
                moved[f"{name} at {position}"] = (name, position)
                states.append(
                    replace(state, name=f"{name} at {position}", switches=MappingProxyType(at | dict(along)))
                )
    found: dict[str, PeakCase] = {}
    starters = [f"parts/{n}" for n in design.starters]
    for words, answer in solve_states(design, network, states).items():
        if not cranking and any(answer.healthy.powered[s] for s in starters):
            continue
        for load in loads:
            if load not in found and answer.healthy.powered[load]:
                named = StateAnswer(design, network, replace(answer.state, name=state.name), answer.healthy)
                found[load] = PeakCase(named, None, moved[words])
    return found


def peak_runs(operating: OperatingPoints, place: PeakCase, peaks: Mapping[str, float]) -> dict[str, PeakRun]:
    """The runs of some loads (element -> amperes at its peak), one at its peak at a time, in one
    place. Raises NotAssessable, also for a point that was not found."""
    from reviewer.analysis.operating_point.assumptions import Assumptions
    from reviewer.analysis.operating_point.circuit_build import Scenario
    from reviewer.analysis.operating_point.devices import amps_of
    from reviewer.analysis.operating_point.points import Figures, one_at_a_time, solve_points
    from reviewer.analysis.operating_point.solved_state import phases_of

    design, network, state = operating.design, operating.network, place.answer.state
    phases = phases_of(design, state, place.phase)
    usual = {load: amps_of(design.parts[bare(load)], load, phases, Assumptions()) for load in peaks}
    charges = operating.charges_in(state)
    scenario = Scenario(state, place.answer.healthy, (), phases, charges=charges)
    figures = Figures(loads=one_at_a_time(usual, peaks), speed=state.speed)
    wiring = operating.wiring
    points = assessed(lambda: solve_points(design, network, scenario, figures, len(peaks), wiring))
    points.require_found()
    found = {}
    for column, load in enumerate(peaks):
        taken = float(points.amps(load)[column])
        run = circuit_run(design, network, place.answer, _column(network, points, column), load, taken)
        if run is not None:
            lacks = [f"{key} of {bare(e)}" for e, key in points.unsized.items() if e in run.elements]
            lacks += [f"{key} of {bare(e)}" for e, key in points.undrawn.items()]
            found[load] = PeakRun(place, run, lacks[0] if lacks else "")
    return found


def _column(network: Network, points: Points, column: int) -> Sounding:
    """One of several points, as it is walked."""
    volts: dict[int, float] = {}
    amps: dict[str, float | None] = {}
    shields = {link.element: i for i, link in enumerate(network.links) if link.gate is Gate.SHIELD}

    def volts_of(node: int) -> float:
        if node not in volts:
            volts[node] = float(points.volts(network.names[node])[column])
        return volts[node]

    def amps_of(element: str) -> float | None:
        if element not in amps:
            alone = points.only_link.get(element, -1) >= 0
            amps[element] = float(points.amps(element)[column]) if alone else None
        return amps[element]

    def shield_of(wire: str) -> float | None:
        return float(points.link_amps(shields[wire])[column])

    def given(source: str) -> float:
        return float(points.amps(source)[column])

    return Sounding(volts_of, amps_of, shield_of, given, ({}, {}), {}, ({}, {}))


def surely_within(run: CircuitRun, times: float, least: float, limit: float) -> bool:
    """Whether a run stays within ``limit`` volts when its load takes ``times`` its usual current.
    No load takes more than constant power does; ``least`` volts across it fall by the limit at
    most, if that holds. What other loads lose on the same path does not grow with it, and is
    counted as if it did."""
    return least > limit and run.volts * max(times, 1.0) * least / (least - limit) <= limit


def chosen_places(
    steady: Sequence[tuple[Flown, StateAnswer]],
    runs: Mapping[str, Sequence[tuple[Flown, CircuitRun]]],
    loads: Sequence[str],
) -> dict[str, tuple[Flown, StateAnswer]]:
    """For each load that is fed in a steady state: where its run loses most at its usual current,
    else the first state in which it is fed."""
    answers = dict(steady)
    found = {}
    for load in loads:
        if runs.get(load):
            flown, _ = max(runs[load], key=lambda entry: entry[1].volts)
            found[load] = (flown, answers[flown])
        else:
            fed = next(((f, a) for f, a in steady if a.healthy.powered[load]), None)
            if fed is not None:
                found[load] = fed
    return found


def together(
    places: Mapping[str, PeakCase], peaks: Mapping[str, float]
) -> tuple[tuple[PeakCase, dict[str, float]], ...]:
    """The loads of each place with their peaks, so that each place is solved once."""
    groups: dict[tuple[str, str | None, tuple[str, str] | None], tuple[PeakCase, dict[str, float]]] = {}
    for load, place in places.items():
        groups.setdefault((place.answer.state.name, place.phase, place.moved), (place, {}))[1][load] = peaks[
            load
        ]
    return tuple(groups.values())
