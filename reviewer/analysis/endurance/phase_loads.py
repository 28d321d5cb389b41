"""Electrical load analysis by phase: load on alternators and batteries, from solved operating
points."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable, gaps
from reviewer.analysis.operating_point.devices import AT_ITS_LIMIT, idle_amps
from reviewer.analysis.operating_point.flight_charges import NOTHING_A
from reviewer.analysis.ratings.supply import AlternatorLoad, alternator_load, surplus_current
from reviewer.analysis.sources.ammeters import meant
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare, holder
from reviewer.tables.practice import COMMON_PRACTICE, practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: amperes below which a load is taken to be off: what an open circuit is solved with
LEAST_A = 1e-4
#: least amperes of what has no load of its own, as a table of hundredths shows them
SHOWN_A = 0.005


@record
class AlternatorInPhase:
    """``amperes`` that an alternator gives, ``asked`` what loads and batteries would take from it
    at its set point, ``load`` the continuous part of that against its output in the phase,
    ``spare`` what is left of the output.

    ``intermittent`` are amperes of loads used for short times, left out of the continuous load;
    ``ammeter`` a monitor that shows what it gives, or "". ``most`` is the share of the output that
    the continuous load may take, and ``rests_on`` where that comes from.
    """

    name: str
    amperes: float
    asked: float
    intermittent: float
    load: AlternatorLoad
    spare: float
    ammeter: str
    most: float
    rests_on: str

    @property
    def within(self) -> bool:
        """Whether the continuous load is at most the share that it may take."""
        return not exceeds(self.load.share, self.most)

    @property
    def ammeter_would_do(self) -> bool:
        """Whether the continuous load would be within limits with an ammeter, which it has not."""
        with_one = practice("factors", "alternator-load-with-an-ammeter").low
        return not self.ammeter and not exceeds(self.load.share, with_one)


@record
class LoadOfPhase:
    """One state with the loads of one phase, ``at_idle`` where the engine idles.

    ``batteries`` name -> amperes given, less than 0 where it is charged; ``stacked`` are those in
    series with one below, which pass the same current. ``others`` what converters, chargers,
    external power and, while another engine cranks, alternators give. ``loads`` name -> amperes
    taken by loads that take any, ``coils`` likewise, ``fields`` by alternator, ``inputs`` by
    converter and charger that a bus feeds; ``across`` what resistors take that lie across a source, as
    the track of a potentiometer does; ``repeated`` what stands in several rows, as a current that
    passes one load after another.
    ``seconds`` None where the file does not say. ``unsized`` are wires and protective devices
    solved as ideal joints -> the key that is missing; ``typical`` the typical values that it rests
    on."""

    flown: Flown
    use: str
    at_idle: bool
    engine: str
    seconds: float | None
    alternators: tuple[AlternatorInPhase, ...]
    batteries: Mapping[str, float]
    stacked: Collection[str]
    others: Mapping[str, float]
    loads: Mapping[str, float]
    coils: Mapping[str, float]
    fields: Mapping[str, float]
    inputs: Mapping[str, float]
    across: float
    repeated: float
    unsized: Mapping[str, str]
    typical: tuple[str, ...]

    @property
    def from_batteries(self) -> float:
        """Amperes that the batteries give, those that are charged left out."""
        return sum(amps for amps in self._strings if amps > NOTHING_A)

    @property
    def total(self) -> float:
        """Amperes that all of it takes from batteries, alternators, chargers and external power: what a
        converter gives is in its input."""
        taken = (self.loads, self.coils, self.fields, self.inputs)
        given = sum(self.others[name] for name in self.converted)
        return sum(sum(kind.values()) for kind in taken) - given + self.across - self.repeated

    @property
    def converted(self) -> tuple[str, ...]:
        """The converters and chargers that a bus feeds and that give current."""
        return tuple(name for name in self.inputs if name in self.others)

    @property
    def into_batteries(self) -> float:
        """Amperes that the batteries take."""
        return -sum(amps for amps in self._strings if amps < 0)

    @property
    def _strings(self) -> Iterator[float]:
        """Amperes given by each battery that stands on no other."""
        return (amps for name, amps in self.batteries.items() if name not in self.stacked)


def phase_load(
    operating: OperatingPoints, flown: Flown, battery_ammeters: Callable[[], Collection[str]]
) -> LoadOfPhase:
    """The loads of what is flown. ``battery_ammeters`` gives the monitors that read the current of a
    main battery. Raises NotAssessable with what is missing."""
    state = operating.states.declared[flown.state]
    drawn(operating, operating.states.answer(flown.state).healthy.powered)
    point = operating.point(flown)
    if point.undrawn:
        raise NotAssessable(gaps({bare(e): key for e, key in point.undrawn.items()}))
    phase = operating.states.operation.phases.get(flown.phase) if flown.phase else None
    fields, inputs = _taken_by_sources(operating, point)
    left = _not_in_rows(operating, point, (*fields.values(), *inputs.values()))
    listed = ("battery", "alternator") if state.engine == "running" else ("battery",)
    return LoadOfPhase(
        flown,
        state.use,
        state.at_idle,
        state.engine,
        phase.duration if phase else None,
        tuple(_alternators(operating, flown, point, battery_ammeters)),
        {bare(e): point.given[e] for e in _sources(operating, "battery")},
        [bare(s.element) for s in operating.network.sources if s.stands_on_another],
        {
            bare(s.element): point.given[s.element]
            for s in operating.network.sources
            if s.kind not in listed and point.given[s.element] > LEAST_A
        },
        {bare(e): abs(amps) for e, amps in point.taken.items() if abs(amps) > LEAST_A},
        {bare(e): abs(amps) for e, amps in point.coils.items() if abs(amps) > LEAST_A},
        fields,
        inputs,
        max(0.0, left),
        max(0.0, -left),
        {bare(e): key for e, key in point.unsized.items()},
        tuple(str(assumed) for assumed in point.assumed),
    )


def _taken_by_sources(
    operating: OperatingPoints, point: OperatingPoint
) -> tuple[Mapping[str, float], Mapping[str, float]]:
    """Amperes of the fields of alternators, and of the inputs of converters and chargers, by name."""
    alternators = set(_sources(operating, "alternator"))
    taken = {e: amps for e, amps in point.supplying.items() if amps > LEAST_A}
    return (
        {bare(e): amps for e, amps in taken.items() if e in alternators},
        {bare(e): amps for e, amps in taken.items() if e not in alternators},
    )


def _not_in_rows(operating: OperatingPoints, point: OperatingPoint, into_sources: Iterable[float]) -> float:
    """Amperes that the sources give that nothing feeds, less what loads, coils and the given currents take
    of them: resistors that lie across a source take it. Less than 0 where one current passes several
    loads."""
    network = operating.network
    own = [s for s in network.sources if not s.inlet and not s.stands_on_another]
    fed = sum(point.given[s.element] for s in network.sources if s.inlet)
    taken = sum(abs(amps) for amps in (*point.taken.values(), *point.coils.values())) + sum(into_sources)
    left = sum(point.given[s.element] for s in own) + fed - taken
    return left if abs(left) >= SHOWN_A else 0.0


def drawn(operating: OperatingPoints, powered: Mapping[str, int]) -> None:
    """Refuse, before anything is solved, where a load that has power or a battery says too little.
    Raises NotAssessable."""
    parts = operating.design.parts
    fed = [bare(e) for e, mask in powered.items() if mask and holder(e) == e]
    on = [name for name in fed if isinstance(parts[name], p.Consumer)]
    missing = {name: "`current`" for name in on if parts[name].current is None}
    for name in operating.design.of_kind(p.Battery):
        if parts[name].chemistry is None or parts[name].capacity is None:
            missing[name] = "`chemistry` and `capacity`"
    if missing:
        raise NotAssessable(gaps(missing))


def _sources(operating: OperatingPoints, kind: str) -> Iterable[str]:
    return (s.element for s in operating.network.sources if s.kind == kind)


def _alternators(
    operating: OperatingPoints,
    flown: Flown,
    point: OperatingPoint,
    battery_ammeters: Callable[[], Collection[str]],
) -> Iterable[AlternatorInPhase]:
    state = operating.states.declared[flown.state]
    if state.engine != "running":
        return
    asked = _asked(operating, flown, point)
    fed = {s.element for s in operating.network.sources if s.inlet is not None or s.stands_on_another}
    whole = sum(amps for e, amps in asked.given.items() if amps > 0 and e not in fed)
    running = sum(point.given[e] for e in _sources(operating, "alternator"))
    more = sum(asked.given[e] for e in _sources(operating, "alternator")) / running if running > 0 else 1.0
    # a motor that runs the other way is fed at its return
    short = sum(
        abs(amps) for e, amps in asked.taken.items() if operating.design.parts[bare(e)].duty == "intermittent"
    )
    for element in _sources(operating, "alternator"):
        part = operating.design.part(bare(element), p.Alternator)
        amps = point.given[element]
        if part.rating is None or amps <= 0:
            continue
        idle = state.at_idle
        most = idle_amps(part) if idle else part.most or part.rating
        wanted = amps * max(1.0, more)
        part_of_short = short * wanted / whole if whole else 0.0
        load = alternator_load(wanted - part_of_short, most if idle else part.rating)
        ammeter = _ammeter(point, amps, battery_ammeters, partial(_may_read, operating, element))
        if ammeter:
            share = practice("factors", "alternator-load-with-an-ammeter")
            limit, rests_on = share.high, f"{COMMON_PRACTICE}; {ammeter} shows the output"
        else:
            limit, rests_on = load.limit.value, str(load.limit.origin)
        yield AlternatorInPhase(
            bare(element),
            amps,
            wanted,
            part_of_short,
            load,
            surplus_current(most, wanted),
            ammeter,
            limit,
            rests_on,
        )


def _asked(operating: OperatingPoints, flown: Flown, point: OperatingPoint) -> OperatingPoint:
    """The same state with every alternator at its set point, where they give all they can; else
    the point itself. What is asked of several is shared as what they give."""
    from reviewer.analysis.operating_point.points import Figures

    state = operating.states.declared[flown.state]
    running = [e for e in _sources(operating, "alternator") if point.given[e] > 0]
    for element in running:
        part = operating.design.part(bare(element), p.Alternator)
        if point.given[element] < AT_ITS_LIMIT * (
            idle_amps(part) if state.at_idle else part.most or math.inf
        ):
            return point
    return operating.figured(flown, (), Figures(speed=state.speed, unlimited=frozenset(running)))


def _may_read(operating: OperatingPoints, alternator: str, monitor: str) -> bool:
    return bare(alternator) in meant(operating.design, operating.network, monitor, "alternator")


def _ammeter(
    point: OperatingPoint,
    amps: float,
    battery_ammeters: Callable[[], Collection[str]],
    may_read: Callable[[str], bool],
) -> str:
    """A monitor on which the crew sees how much the alternator carries: its current, or with a
    voltage that of a main battery (11-35c). Recognised by what it reads in the solved states, of those
    that ``may_read`` it: one in the lead of another alternator reads the same by chance."""
    lit = {
        name: reading
        for name, reading in point.readings.items()
        if not reading.blank and reading.value is not None
    }
    currents = {
        name: abs(reading.value or 0.0) for name, reading in lit.items() if reading.shows == "current"
    }
    for name, shown in currents.items():
        if abs(shown - amps) <= max(0.1, 0.01 * amps) and may_read(name):
            return name
    if currents and any(reading.shows == "voltage" for reading in lit.values()):
        return next((name for name in battery_ammeters() if name in currents), "")
    return ""
