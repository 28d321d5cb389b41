"""Alarms of voltage in volts: what a monitor reads in normal flight and after the loss of an
alternator, and below which voltage the alarm of a reserve comes too late."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints, assessed
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.ratings.rest_voltage import rest_voltage
from reviewer.model.design import Design
from reviewer.model.parts import Battery
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.network.meters import Meter
from reviewer.network.search import conductors_and_protectors, reachable
from reviewer.tables.practice import practice


@record
class MonitorVolts:
    """The least and the most volts that a monitor reads in the phases of a state, and in which."""

    least: float
    at_least: str
    most: float
    at_most: str


def disconnecting_batteries(
    design: Design, answers: Sequence[StateAnswer], meters: Mapping[str, Meter]
) -> dict[str, tuple[str, float]]:
    """Monitor of a voltage with a low alarm -> the battery among those that feed what it senses, in some
    states, that disconnects itself at the lowest voltage, and that voltage.

    Not where one of them states none. A battery that conductors and circuit protection join to that
    point counts alone: what feeds it through a diode or a switch does not hold it when it is needed.
    """
    found = {}
    for name, monitor in design.watch.monitors.items():
        if monitor.alarm_below is None or monitor.shows != "voltage":
            continue
        node = meters[name].sensed[0]
        feeding = dict.fromkeys(
            bare(s.element)
            for a in answers
            for s in a.network.sources
            if s.kind == "battery" and a.healthy.fed[s.element][node]
        )
        near = reachable(answers[0].network, [node], conductors_and_protectors) if feeding else set()
        at_it = [n for n in feeding if answers[0].network.node(f"{n}.positive") in near]
        levels = {n: design.part(n, Battery).low_voltage_disconnect for n in at_it or feeding}
        known = {n: volts for n, volts in levels.items() if volts is not None}
        if known and len(known) == len(levels):
            found[name] = min(known.items(), key=lambda level: level[1])
    return found


def normal_volts(points: OperatingPoints, state: str) -> Mapping[str, MonitorVolts]:
    """What each monitor of a voltage that can be read reads in every phase of a state. Raises
    NotAssessable, and for a load with power but without a current too."""
    return _volts_read(points, state, {str(flown): points.point(flown) for flown in points.flown_in([state])})


def volts_without(points: OperatingPoints, state: str, alternator: str) -> Mapping[str, MonitorVolts]:
    """The same with an alternator lost and each battery with the least charge with which it is
    ready for flight: what no alarm has shown by then comes late. Raises NotAssessable."""
    from reviewer.analysis.operating_point.points import Figures

    charge = practice("states_of_charge", "ready-for-flight").low
    figures = Figures(state_of_charge={f"parts/{n}": charge for n in points.design.of_kind(Battery)})
    case = (Failure(alternator, OPEN),)
    solved = {str(flown): points.figured(flown, case, figures) for flown in points.flown_in([state])}
    return _volts_read(points, state, solved)


def _volts_read(
    points: OperatingPoints, state: str, solved: Mapping[str, OperatingPoint]
) -> Mapping[str, MonitorVolts]:
    powered = points.states.answer(state).healthy.powered
    read: dict[str, list[tuple[float, str]]] = {}
    for where, point in solved.items():
        for element, key in point.undrawn.items():
            if powered[element]:
                raise NotAssessable(f"{key} of {bare(element)}")
        for name, reading in point.readings.items():
            if reading.shows == "voltage" and reading.value is not None and not reading.blank:
                read.setdefault(name, []).append((reading.value, where))
    return {name: MonitorVolts(*min(values), *max(values)) for name, values in read.items()}


def charging_volts(design: Design) -> tuple[float, float]:
    """The least and the highest volts at which batteries are charged by practice: between them
    stands what an alternator holds up as it should."""
    low, high = practice("volts", "lithium-float").low, practice("volts", "lead-acid-absorption").high
    return design.aircraft.scale * low, design.aircraft.scale * high


def late_below(design: Design, name: str) -> float:
    """Volts of a battery at rest that has half of its charge left, by the chart that reads least:
    an alarm below them comes late. Raises NotAssessable."""
    battery = design.part(name, Battery)
    if battery.chemistry is None:
        raise NotAssessable(f"`chemistry` of {name}")
    share = practice("states_of_charge", "half-by-any-chart").low
    return assessed(lambda: rest_voltage(battery, share, design.class_of(name)))
