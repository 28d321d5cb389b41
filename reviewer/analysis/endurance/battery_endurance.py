"""Endurance of each battery: of the main one after the loss of an alternator and load shedding, of
a reserve with what it is dedicated to alone."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.states import loads_of
from reviewer.analysis.endurance.battery_cells import capacity_factors
from reviewer.analysis.endurance.discharge import Discharge, DischargeSegment, discharge
from reviewer.analysis.endurance.discharge_surfaces import DischargeSurfaces
from reviewer.analysis.endurance.shedding import LossNotice, after_loss, carried_out
from reviewer.analysis.not_assessable import NotAssessable, gaps
from reviewer.analysis.operating_point.flight_charges import charging_volts, cold_share
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import clock
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare, own_battery

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.circuit_build import Scenario


#: the only segment after a loss that no alarm shows
UNNOTICED = "to the end: no alarm shows the loss"


@record
class BatteryEndurance:
    """Endurance of a battery. ``lost`` are the sources that are gone, ``state`` and ``phase``
    what was flown, ``wanted`` seconds or None where the file does not say, ``charging_v`` the
    volts across it in flight before, ``begins`` the state of charge that flight leaves it,
    ``factors`` (word, value) of the alarm and of what age, cold and rate take, ``noticed`` the
    alarm that shows the loss (None: no alarm, or nothing is shed), ``fields_on`` the lost
    alternators whose field draws to the end, ``typical`` the typical values that it rests on."""

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
    noticed: LossNotice | None
    fields_on: tuple[str, ...]
    typical: tuple[str, ...]

    @property
    def seconds(self) -> float:
        """Seconds until it is exhausted; infinite where it never is."""
        return self.found.seconds

    @property
    def late_alarm(self) -> bool:
        """Whether the shed plan waits for an alarm, or in vain."""
        return self.noticed.seconds > 0 if self.noticed else self.found.runs[0].name == UNNOTICED


#: the alarm that shows the loss of some alternators (elements) with the loads of a phase
Notice = Callable[[tuple[str, ...], str | None], LossNotice | None]


def main_battery_endurance(
    operating: OperatingPoints, surfaces: DischargeSurfaces, name: str, notice: Notice
) -> BatteryEndurance:
    """Endurance of a main battery after the loss of an alternator in the normal state, with the
    shedding as declared where an alarm shows the loss; of several alternators and phases the pair
    that leaves it the least time.
    Without an alternator, from take-off, charged, in the normal state. The sun gives nothing.
    Raises NotAssessable with what is missing."""
    alternators = [s.element for s in operating.network.sources if s.kind == "alternator"]
    state = operating.states.declared[operating.states.operation.normal]
    phases = [f.phase for f in operating.flown if f.state == state.name]
    each = [
        _main_after(operating, surfaces, name, alternator, state, phase, notice)
        for alternator in alternators
        for phase in phases
    ] or [_main_alone(operating, surfaces, name, state, phase) for phase in phases]
    return min(each, key=lambda endurance: endurance.seconds)


def _main_after(
    operating: OperatingPoints,
    surfaces: DischargeSurfaces,
    name: str,
    alternator: str,
    state: ResolvedState,
    phase: str | None,
    notice: Notice,
) -> BatteryEndurance:
    case = (Failure(alternator, OPEN), *_without_sun(operating, state))
    plan = after_loss(operating, case, state)

    def lasting(noticed: LossNotice | None) -> BatteryEndurance:
        steps = carried_out(plan, len(plan) - 1 if noticed else 0, noticed.seconds if noticed else 0.0)
        scenarios = [scenario_after_loss(operating, step.state, step.now, case, phase) for step in steps]
        needed = needed_loads(operating, name, steps[-1].now, None)
        names, seconds = [s.name for s in steps], [s.seconds for s in steps]
        lost = tuple(bare(failure.element) for failure in case)
        if plan[1:] and not noticed:
            names = [UNNOTICED]
        return _endurance(operating, surfaces, name, lost, scenarios, names, seconds, needed, phase, noticed)

    if not plan[1:]:
        return lasting(None)
    try:
        if not operating.design.watch.monitors:
            raise NotAssessable("`watch` with its `monitors`: the alarm that shows the loss")
        return lasting(notice((alternator,), phase))
    except NotAssessable:
        # what is short at best, or long enough at worst, needs no alarm
        best, worst = lasting(LossNotice("", 0.0)), lasting(None)
        if best.wanted is not None and best.seconds < best.wanted:
            return best
        if worst.wanted is not None and worst.seconds >= worst.wanted:
            return worst
        raise


def _without_sun(operating: OperatingPoints, state: ResolvedState) -> tuple[Failure, ...]:
    """The chargers of a state on which nobody can rely, as lost: a cloud covers the sun."""
    alive = operating.states.answer(state.name).healthy.alive
    charging = (s.element for s in operating.network.sources if s.listed and alive[s.element])
    return tuple(Failure(element, OPEN) for element in charging)


def _main_alone(
    operating: OperatingPoints,
    surfaces: DischargeSurfaces,
    name: str,
    state: ResolvedState,
    phase: str | None,
) -> BatteryEndurance:
    now, case = operating.states.answer(state.name).healthy, _without_sun(operating, state)
    if case:
        now = conduct(operating.network, state, (case,), now)
    scenario = scenario_after_loss(operating, state, now, case, phase)
    needed = needed_loads(operating, name, now, None)
    lost = tuple(bare(failure.element) for failure in case)
    return _endurance(operating, surfaces, name, lost, [scenario], [state.name], [None], needed, phase)


def reserve_endurance(operating: OperatingPoints, surfaces: DischargeSurfaces, name: str) -> BatteryEndurance:
    """Endurance of a reserve with what it is dedicated to, once every alternator and main battery
    is lost, in the state of flight in which it powers the most of it, with all else that it then
    feeds, after each state that is flown in brief phases alone, for as long as these last. Raises
    NotAssessable with what is missing."""
    reserves = {
        f"parts/{n}"
        for n in operating.design.of_kind(p.Battery)
        if operating.design.parts[n].purpose == "reserve"
    }
    case = tuple(Failure(s.element, OPEN) for s in operating.network.sources if s.element not in reserves)
    best: BatteryEndurance | None = None
    lost = tuple(bare(f.element) for f in case)
    brief, lasting = _reserve_states(operating, name, case)
    first = [
        (phase, seconds, state, now)
        for state, now in brief
        for phase, seconds in operating.states.brief_phases(state.name).items()
    ]
    for state, now in lasting:
        phase = next((f.phase for f in operating.flown if f.state == state.name), None)
        needed = needed_loads(operating, name, now, _kept_for(operating.design, name))
        found = _endurance(
            operating,
            surfaces,
            name,
            lost,
            [
                *(scenario_after_loss(operating, s, n, case, p) for p, _, s, n in first),
                scenario_after_loss(operating, state, now, case, phase),
            ],
            [*(s.name for _, _, s, _ in first), state.name],
            [*(seconds for _, seconds, _, _ in first), None],
            needed,
            phase,
        )
        found = replace(found, state=state.name)
        if best is None or found.seconds < best.seconds:
            best = found
    if best is None:
        raise NotAssessable(
            f"a declared state of flight in which {name} powers what it is dedicated to "
            "once the other sources are lost"
        )
    return best


#: states, each with what conducts in it
_States = list[tuple[ResolvedState, Conduction]]


def _reserve_states(
    operating: OperatingPoints, name: str, case: tuple[Failure, ...]
) -> tuple[_States, _States]:
    """The states of flight in which a reserve alone powers some of what it is dedicated to: those that
    are flown in brief phases alone, and the others, without those in which it powers no more than in
    another; where all are brief, they count as others."""
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
    brief = [(state, now) for state, now, _ in found if operating.states.brief_phases(state.name)]
    if len(brief) == len(found):
        brief = []
    rest = [one for one in found if one[0].name not in {state.name for state, _ in brief}]
    lasting = [
        (state, now)
        for i, (state, now, powers) in enumerate(rest)
        if not any(powers < other or (powers == other and j < i) for j, (_, _, other) in enumerate(rest))
    ]
    return brief, lasting


def _serves(operating: OperatingPoints, source: str, consumer, now: Conduction) -> bool:
    return bool(serves(operating.network, now, source, consumer) & 1)


def _kept_for(design: Design, name: str) -> tuple[str, ...]:
    kept = design.part(name, p.Battery).dedicated_to
    return tuple(
        dict.fromkeys(load for n in kept for load in (loads_of(design, n) if n in design.functions else (n,)))
    )


def needed_loads(
    operating: OperatingPoints, name: str, now: Conduction, wanted: Sequence[str] | None
) -> tuple[str, ...]:
    """The elements of the loads that decide when a battery is exhausted: of those that it powers,
    the ones it is dedicated to, or those that a function of class major or worse rests on, but for
    units that last as long as is asked for by a battery inside them; all of them where none is."""
    grave: list[str] = []
    if wanted is None:
        grave = [
            n for n, f in operating.design.functions.items() if HazardClass.of(f.loss) >= HazardClass.MAJOR
        ]
        wanted = [load for function in grave for load in operating.states.loads_of(function)]
    powered = [c.element for c in operating.network.consumers if _serves(operating, f"parts/{name}", c, now)]
    found = tuple(e for e in powered if bare(e) in wanted) or tuple(powered)
    if grave:
        found = tuple(e for e in found if own_battery(e) not in now.powered) or found
    if missing := {bare(e): "`minimum`" for e in found if operating.design.parts[bare(e)].minimum is None}:
        raise NotAssessable(gaps(missing))
    return found


def scenario_after_loss(
    operating: OperatingPoints,
    state: ResolvedState,
    now: Conduction,
    case: tuple[Failure, ...],
    phase: str | None,
) -> Scenario:
    """A state after sources are lost, with the loads of a phase."""
    from reviewer.analysis.operating_point.circuit_build import Scenario

    charges = operating.charges_in(state)
    return Scenario(state, now, case, (phase,) if phase else (), charges=charges)


def _endurance(
    operating: OperatingPoints,
    surfaces: DischargeSurfaces,
    name: str,
    lost: tuple[str, ...],
    scenarios: Sequence[Scenario],
    names: Sequence[str],
    seconds: Sequence[float | None],
    needed: tuple[str, ...],
    phase: str | None,
    noticed: LossNotice | None = None,
) -> BatteryEndurance:
    from reviewer.analysis.operating_point.charge_sweep import alive

    cold_share(operating)
    design, network, element = operating.design, operating.network, f"parts/{name}"
    segments = []
    for scenario, words, length in zip(scenarios, names, seconds, strict=True):
        spare = surfaces.of(scenario, length).sweep.spare
        # what is shed later, has no power, or is fed by another source until then, is not needed of it
        here = tuple(
            c.element
            for c in network.consumers
            if c.element in needed
            and c.element in spare
            and _serves(operating, element, c, scenario.conduction)
        )
        segments.append(_segment(surfaces, scenario, words, length, here))
    day = {e: surfaces.day_cells.of(e) for s in scenarios for e in alive(network, s)}
    part = design.part(name, p.Battery)
    reserve = part.purpose == "reserve"
    found = BatteryEndurance(
        name,
        reserve,
        lost,
        scenarios[0].state.name,
        phase,
        part.endurance if reserve else operating.states.operation.endurance,
        charging_volts(operating.point(operating.flight_charges.charged_in[element]), element),
        day[element].cell.charge,
        (*_indicated(noticed, names), *capacity_factors(operating, part)),
        discharge(tuple(one.cell for one in day.values()), element, segments),
        noticed,
        tuple(name for name in lost if _field_fed(operating, f"parts/{name}", scenarios[-1])),
        tuple(str(a) for a in segments[-1].surface.sweep.assumed),
    )
    missing = next((one.missing for one in day.values() if one.missing), "")
    if missing and (found.wanted is None or found.seconds >= found.wanted):  # too little is too little
        raise NotAssessable(missing)
    return found


def _indicated(noticed: LossNotice | None, names: Sequence[str]) -> Iterator[tuple[str, str]]:
    if noticed and noticed.monitor:
        late = f"{clock(noticed.seconds)} after it at the latest, as its meter may read high"
        when = late if noticed.seconds else "at once"
        yield "loss indicated by", f"{noticed.monitor}, {when}"
    elif UNNOTICED in names:
        yield "loss indicated by", "no alarm"


def _segment(
    surfaces: DischargeSurfaces,
    scenario: Scenario,
    name: str,
    seconds: float | None,
    needed: tuple[str, ...],
) -> DischargeSegment:
    def without(battery: str) -> DischargeSegment:
        case = (*scenario.case, Failure(battery, OPEN))
        now = conduct(surfaces.operating.network, scenario.state, (case,), scenario.conduction)
        later = replace(scenario, conduction=now, case=case)
        return _segment(surfaces, later, name, seconds, needed)

    found = surfaces.of(scenario, seconds)
    return DischargeSegment(name, seconds, found, partial(surfaces.exact, scenario), needed, without)


def _field_fed(operating: OperatingPoints, alternator: str, scenario: Scenario) -> bool:
    source = next(s for s in operating.network.sources if s.element == alternator)
    return source.field is not None and bool(scenario.conduction.live(source.field))


def shed_at(endurance: BatteryEndurance) -> Mapping[str, float]:
    """Seconds from the loss at which each action of the shed plan is done."""
    done, found = 0.0, {}
    for before, run in pairwise(endurance.found.runs):
        done += before.seconds
        found[run.name] = done
    return found
