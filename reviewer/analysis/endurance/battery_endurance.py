"""Endurance of each battery: of the main one after the loss of an alternator and load shedding, of
a reserve with what it is dedicated to alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.states import loads_of
from reviewer.analysis.endurance.discharge import Cell, Discharge, DischargeSegment, discharge
from reviewer.analysis.endurance.phase_loads import drawn, lacking, percent
from reviewer.analysis.endurance.shedding import after_loss
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, assessed
from reviewer.analysis.ratings.capacity import rate_exponents, rated_hours, share_at
from reviewer.analysis.ratings.discharge_time import Store
from reviewer.analysis.ratings.rest_voltage import charge_at_rest
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.charge_sweep import Sweep
    from reviewer.analysis.operating_point.circuit_build import Scenario

#: seconds in which charges change so little that corners of their curves are enough
SHORT_S = 120.0


@record
class BatteryEndurance:
    """Endurance of a battery. ``lost`` are the sources that are gone, ``state`` and ``phase``
    what was flown, ``wanted`` seconds or None where the file does not say, ``charging_v`` the
    volts across it in flight before, ``begins`` the state of charge that these give it,
    ``factors`` (word, value) of what age, cold and rate take, ``fields_on`` the lost alternators
    whose field draws to the end, ``typical`` the typical values that it rests on."""

    battery: str
    reserve: bool
    lost: tuple[str, ...]
    state: str
    phase: str | None
    wanted: float | None
    charging_v: float
    begins: float
    factors: tuple[tuple[str, str], ...]
    found: Discharge
    fields_on: tuple[str, ...]
    typical: tuple[str, ...]

    @property
    def seconds(self) -> float:
        """Seconds until it is exhausted; infinite where it never is."""
        return self.found.seconds


def main_battery_endurance(operating: OperatingPoints, name: str) -> BatteryEndurance:
    """Endurance of a main battery after the loss of an alternator in the normal state, with the
    shedding as declared; of several alternators and phases the pair that leaves it the least time.
    Raises NotAssessable with what is missing."""
    alternators = [s.element for s in operating.network.sources if s.kind == "alternator"]
    state = operating.states.declared[operating.states.operation.normal]
    phases = [f.phase for f in operating.flown if f.state == state.name]
    each = [
        _main_after(operating, name, alternator, state, phase)
        for alternator in alternators
        for phase in phases
    ]
    return min(each, key=lambda endurance: endurance.seconds)


def _main_after(
    operating: OperatingPoints, name: str, alternator: str, state: ResolvedState, phase: str | None
) -> BatteryEndurance:
    case = (Failure(alternator, OPEN),)
    steps = after_loss(operating, case, state)
    scenarios = [scenario_after_loss(operating, step.state, step.now, case, phase) for step in steps]
    needed = needed_loads(operating, name, steps[-1].now, None)
    return _endurance(
        operating,
        name,
        (bare(alternator),),
        scenarios,
        [s.name for s in steps],
        [s.seconds for s in steps],
        needed,
        phase,
    )


def reserve_endurance(operating: OperatingPoints, name: str) -> BatteryEndurance:
    """Endurance of a reserve with what it is dedicated to, once every alternator and main battery
    is lost, in the state of flight in which it powers the most of it, with all else that it then
    feeds. Raises NotAssessable with what is missing."""
    reserves = {
        f"parts/{n}"
        for n in operating.design.of_kind(p.Battery)
        if operating.design.parts[n].purpose == "reserve"
    }
    case = tuple(Failure(s.element, OPEN) for s in operating.network.sources if s.element not in reserves)
    best: BatteryEndurance | None = None
    for state, now in _reserve_states(operating, name, case):
        phase = next((f.phase for f in operating.flown if f.state == state.name), None)
        needed = needed_loads(operating, name, now, _kept_for(operating.design, name))
        lost = tuple(bare(f.element) for f in case)
        found = _endurance(
            operating,
            name,
            lost,
            [scenario_after_loss(operating, state, now, case, phase)],
            [state.name],
            [None],
            needed,
            phase,
        )
        if best is None or found.seconds < best.seconds:
            best = found
    if best is None:
        raise NotAssessable(
            f"a declared state of flight in which {name} powers what it is dedicated to "
            "once the other sources are lost"
        )
    return best


def _reserve_states(
    operating: OperatingPoints, name: str, case: tuple[Failure, ...]
) -> Iterator[tuple[ResolvedState, Conduction]]:
    """The states of flight in which a reserve alone powers some of what it is dedicated to, those
    left out in which it powers no more than in another."""
    kept = {f"parts/{n}" for n in _kept_for(operating.design, name)}
    found: list[tuple[ResolvedState, Conduction, frozenset[str]]] = []
    for answer in operating.states.answers():
        if answer.state.use == "ground" or answer.state.engine != "running":
            continue
        now = conduct(operating.network, answer.state, (case,), answer.healthy)
        powers = frozenset(
            c.element for c in operating.network.consumers if _serves(operating, f"parts/{name}", c, now)
        )
        if powers & kept if kept else powers:
            found.append((answer.state, now, powers))
    for i, (state, now, powers) in enumerate(found):
        if not any(powers < other or (powers == other and j < i) for j, (_, _, other) in enumerate(found)):
            yield state, now


def _serves(operating: OperatingPoints, source: str, consumer, now: Conduction) -> bool:
    return bool(served(consumer, now.fed[source], now.returned[source]) & 1)


def _kept_for(design: Design, name: str) -> tuple[str, ...]:
    kept = design.part(name, p.Battery).dedicated_to
    return tuple(
        dict.fromkeys(load for n in kept for load in (loads_of(design, n) if n in design.functions else (n,)))
    )


def needed_loads(
    operating: OperatingPoints, name: str, now: Conduction, wanted: Sequence[str] | None
) -> tuple[str, ...]:
    """The elements of the loads that decide when a battery is exhausted: of those that it powers,
    the ones it is dedicated to, or those that a function of class major or worse rests on; all of
    them where none is."""
    if wanted is None:
        grave = [
            n for n, f in operating.design.functions.items() if HazardClass.of(f.loss) >= HazardClass.MAJOR
        ]
        wanted = [load for function in grave for load in operating.states.loads_of(function)]
    powered = [c.element for c in operating.network.consumers if _serves(operating, f"parts/{name}", c, now)]
    found = tuple(e for e in powered if bare(e) in wanted) or tuple(powered)
    if missing := {bare(e): "`minimum`" for e in found if operating.design.parts[bare(e)].minimum is None}:
        raise NotAssessable(lacking(missing))
    return found


def scenario_after_loss(
    operating: OperatingPoints,
    state: ResolvedState,
    now: Conduction,
    case: tuple[Failure, ...],
    phase: str | None,
) -> Scenario:
    """A state after sources are lost. An alternator is lost in the worse way, by its drive: its
    field draws on until it is switched off."""
    from reviewer.analysis.operating_point.circuit_build import Scenario

    lost = {f.element for f in case}
    fields = [s.element for s in operating.network.sources if s.field is not None and s.element in lost]
    return Scenario(state, now, case, (phase,) if phase else (), undriven=fields)


def _endurance(
    operating: OperatingPoints,
    name: str,
    lost: tuple[str, ...],
    scenarios: Sequence[Scenario],
    names: Sequence[str],
    seconds: Sequence[float | None],
    needed: tuple[str, ...],
    phase: str | None,
) -> BatteryEndurance:
    from reviewer.analysis.operating_point.charge_sweep import alive, surface, sweep

    _cold(operating)
    for scenario in scenarios:
        drawn(operating, scenario.conduction.powered)
    design, network, element = operating.design, operating.network, f"parts/{name}"
    ageing = practice("factors", "battery-resistance-cold-or-aged").high
    segments = []
    for scenario, words, length in zip(scenarios, names, seconds, strict=True):

        def exact(rows: Sequence[Sequence[float]], scenario: Scenario = scenario) -> Sweep:
            return assessed(partial(sweep, design, network, scenario, ageing, needed, rows, operating.wiring))

        found = assessed(
            partial(
                surface,
                design,
                network,
                scenario,
                ageing,
                needed,
                length is None or length > SHORT_S,
                operating.wiring,
            )
        )
        if missing := {
            bare(e): key for e, key in (*found.sweep.undrawn.items(), *found.sweep.unsized.items())
        }:
            raise NotAssessable(lacking(missing))
        # what is shed later, or has no power, is not needed
        here = tuple(e for e in needed if e in found.sweep.spare)
        segments.append(DischargeSegment(words, length, found, exact, here))
    cells = {e: _cell(operating, e, phase) for s in scenarios for e in alive(network, s)}
    part = design.part(name, p.Battery)
    reserve = part.purpose == "reserve"
    cell = cells[element]
    return BatteryEndurance(
        name,
        reserve,
        lost,
        scenarios[0].state.name,
        phase,
        part.endurance if reserve else operating.states.operation.endurance,
        _charging_v(operating, element, phase),
        cell.charge,
        _factors(operating, part, ageing),
        discharge(tuple(cells.values()), element, segments),
        tuple(bare(e) for e in scenarios[-1].undriven if _field_fed(operating, e, scenarios[-1])),
        tuple(str(a) for a in segments[-1].surface.sweep.assumed),
    )


def _field_fed(operating: OperatingPoints, alternator: str, scenario: Scenario) -> bool:
    source = next(s for s in operating.network.sources if s.element == alternator)
    return source.field is not None and bool(scenario.conduction.live(source.field))


def _charging_v(operating: OperatingPoints, element: str, phase: str | None) -> float:
    """Volts across a battery in the normal state, nothing failed."""
    dispatch = operating.states.operation.normal
    chosen = (
        phase
        if phase and operating.states.operation.phases[phase].state == dispatch
        else next(f.phase for f in operating.flown if f.state == dispatch)
    )
    volts = operating.point(Flown(dispatch, chosen)).volts
    return volts[f"{bare(element)}.positive"] - volts[f"{bare(element)}.negative"]


def _cell(operating: OperatingPoints, element: str, phase: str | None) -> Cell:
    part = operating.design.part(bare(element), p.Battery)
    volts = _charging_v(operating, element, phase)
    assert part.chemistry is not None and part.capacity is not None  # else no point was solved
    charge = assessed(lambda: charge_at_rest(part, volts, operating.design.aircraft.nominal))
    if part.state_of_charge is not None:
        charge = min(charge, part.state_of_charge)
    store = Store(part.capacity, rate_exponents(part)[1], _age(part), _cold(operating), rated_hours(part))
    return Cell(element, store, charge, part.low_voltage_disconnect)


def _age(part: p.Battery) -> float:
    return (
        part.minimum_capacity
        if part.minimum_capacity is not None
        else practice("factors", "battery-aged").low
    )


def _cold(operating: OperatingPoints) -> float:
    coldest = operating.design.aircraft.min_temperature
    if coldest is None:
        raise NotAssessable("`min-temperature` of the aircraft: the lowest temperature of the batteries")
    return share_at(coldest)


def _factors(operating: OperatingPoints, part: p.Battery, ageing: float) -> tuple[tuple[str, str], ...]:
    age = percent(_age(part)) + (
        " (declared minimum capacity)" if part.minimum_capacity is not None else " (common practice)"
    )
    return (
        ("capacity when aged", age),
        (
            "capacity when cold",
            f"{percent(_cold(operating))} (common practice, {operating.design.aircraft.min_temperature:g} C)",
        ),
        ("rate exponent", f"{rate_exponents(part)[1]:g} (common practice{_unsaid(part)})"),
        ("resistance when cold or aged", f"{ageing:g} times (common practice)"),
    )


def _unsaid(part: p.Battery) -> str:
    """What the exponent takes for granted."""
    lead_acid = part.chemistry == "lead-acid" and part.construction is None
    return ", AGM: `construction` is not stated" if lead_acid else ""


def shed_at(endurance: BatteryEndurance) -> Mapping[str, float]:
    """Seconds from the loss at which each action of the shed plan is done."""
    done, found = 0.0, {}
    for before, run in pairwise(endurance.found.runs):
        done += before.seconds
        found[run.name] = done
    return found
