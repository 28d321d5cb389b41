"""Alarms of voltage in volts: what a monitor reads in normal flight and after the loss of an
alternator, and below which voltage the alarm of a battery comes too late."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from math import floor, inf, isfinite

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.endurance.generation_loss import GenerationLoss
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints, assessed
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.ratings.rest_voltage import rest_voltage
from reviewer.model.design import Design, Monitor
from reviewer.model.parts import Battery, Bus
from reviewer.model.record import record
from reviewer.network.battery_strings import strings
from reviewer.network.graph import Network, bare
from reviewer.network.meters import Meter
from reviewer.network.search import conductors_and_protectors, reachable
from reviewer.tables.practice import practice

#: volts below which the alarm of a 14 V system shows the loss of an alternator: AC 43.13-1B 11-35b
USUAL = 13.0


@record
class MonitorReadings:
    """The least and the most volts that a monitor reads in the phases of a state, and in which; of a
    current amperes, in the direction of its alarms."""

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


def normal_volts(points: OperatingPoints, state: str) -> Mapping[str, MonitorReadings]:
    """What each monitor of a voltage that can be read reads in every phase of a state. Raises
    NotAssessable, and for a load with power but without a current too."""
    return _volts_read(points, state, {str(flown): points.point(flown) for flown in points.flown_in([state])})


def volts_without(points: OperatingPoints, state: str, alternator: str) -> Mapping[str, MonitorReadings]:
    """The same with an alternator lost and each battery as full as the file says, else full: where
    it is not known how full normal flight leaves it. Raises NotAssessable."""
    from reviewer.analysis.operating_point.points import Figures

    case = (Failure(alternator, OPEN),)
    solved = {str(flown): points.figured(flown, case, Figures()) for flown in points.flown_in([state])}
    return _volts_read(points, state, solved)


def volts_at_loss(
    losses: Sequence[GenerationLoss], meters: Mapping[str, Meter]
) -> Mapping[str, MonitorReadings]:
    """What each monitor of a voltage, and of a current with an alarm in amperes, reads at the moment
    of a loss, in the phases in which it can be read: what is not below its alarm then tells nothing
    at once. Raises NotAssessable."""
    from reviewer.analysis.operating_point.charge_sweep import alarm_readings

    monitors = losses[0].design.watch.monitors if losses else {}
    shown = {name: meter for name, meter in meters.items() if in_numbers(monitors[name])}
    read: dict[str, list[tuple[float, str]]] = {}
    for loss in losses:
        _, scenario, charges = loss.beginning
        found = assessed(partial(alarm_readings, loss.operating, scenario, [charges], shown))
        for name, (volts,) in found.items():
            if isfinite(volts):
                read.setdefault(name, []).append((volts, loss.phase or loss.state.name))
    return {name: MonitorReadings(*min(values), *max(values)) for name, values in read.items()}


@record
class NoNews:
    """What a monitor reads ``when`` ("before" or "after") a loss, so that its alarm says nothing of that:
    on the alarm side before it, on the silent side after it. ``may`` is what it may read at worst where
    that decides, by the error of its meter and, after it, by what is not known of loads and batteries."""

    reads: float
    when: str
    may: float | None = None


def no_news(
    monitor: Monitor,
    lowest: float,
    before: MonitorReadings | None,
    after: MonitorReadings | None,
    error: Callable[[float], float],
    more: float,
) -> NoNews | None:
    """By which reading the low alarm of a monitor says nothing of a loss, whatever its meter is wrong by
    (``error`` of a reading before it) and by as much ``more`` as it may read after it; what it reads
    before it at less than ``lowest`` is overload. Raises NotAssessable where the reading after it is
    not known."""
    below = monitor.alarm_below or 0.0
    on = before.least if before and before.least >= lowest else inf
    if on < below:
        return NoNews(on, "before")
    if after is None:
        raise NotAssessable("what the monitor reads after the loss")
    if after.most >= below:
        return NoNews(after.most, "after")
    if after.most + more >= below:
        return NoNews(after.most, "after", after.most + more)
    return NoNews(on, "before", on - error(on)) if on < inf and on - error(on) < below else None


def silent(monitor: Monitor, before: MonitorReadings, error: Callable[[float], float]) -> bool:
    """Whether the alarms of a monitor in figures are off in normal flight, whatever its meter is wrong by:
    one that may be on already tells nothing new."""
    low, high = monitor.alarm_below, monitor.alarm_above
    return (low is None or before.least - error(before.least) >= low) and (
        high is None or before.most + error(before.most) <= high
    )


def telling_alarm(
    design: Design,
    before: Mapping[str, MonitorReadings],
    after: Mapping[str, MonitorReadings],
    usual: Mapping[str, float],
    lowest: Mapping[str, float],
    more: Mapping[str, float],
) -> tuple[str, float] | None:
    """The monitor, one of a bus before another, whose volts fall the most with a loss, and an alarm
    in volts that is between, whatever the meter is wrong by: no lower than ``usual`` has it for the
    monitor, in tenths of a volt. None where none is between. ``lowest`` is the least that a monitor
    may read in normal flight, by its own error and what the regulator may hold, ``more`` as in
    :func:`no_news`."""
    senses = {n: design.watch.monitors[n].senses.partition(".")[0] for n in before}
    buses = [n for n in before if isinstance(design.parts.get(senses[n]), Bus)]
    falls = {n: volts.least - after[n].most for n, volts in before.items() if n in after}
    for name in sorted(falls, key=lambda n: (n not in buses, -falls[n])):
        level = max(usual[name], floor((after[name].most + more[name]) * 10 + 1) / 10)
        if level <= lowest[name]:
            return name, level
    return None


def _volts_read(
    points: OperatingPoints, state: str, solved: Mapping[str, OperatingPoint]
) -> Mapping[str, MonitorReadings]:
    powered = points.states.answer(state).healthy.powered
    read: dict[str, list[tuple[float, str]]] = {}
    for where, point in solved.items():
        for element, key in point.undrawn.items():
            if powered[element]:
                raise NotAssessable(f"{key} of {bare(element)}")
        for name, reading in point.readings.items():
            known = reading.value is not None and not reading.blank
            if known and in_numbers(points.design.watch.monitors[name]):
                value = points.alarm_sign(name) * (reading.value or 0.0)
                read.setdefault(name, []).append((value, where))
    return {name: MonitorReadings(*min(values), *max(values)) for name, values in read.items()}


def in_numbers(monitor: Monitor) -> bool:
    """Whether a monitor shows a voltage, or a current that has an alarm in amperes."""
    levels = (monitor.alarm_below, monitor.alarm_above)
    return monitor.shows == "voltage" or (monitor.shows == "current" and levels != (None, None))


def charging_volts(scale: float) -> tuple[float, float]:
    """The least and the highest volts at which batteries are charged by practice, of a point of so many
    times 14 V: between them stands what an alternator holds up as it should."""
    low, high = practice("volts", "lithium-float").low, practice("volts", "lead-acid-absorption").high
    return scale * low, scale * high


def scale_sensed(design: Design, network: Network, meter: Meter) -> float:
    """What volts of a 14 V system are multiplied with where a monitor senses: for the battery that
    conductors and circuit protection join to it with those that it stands on in a string, else for
    the aircraft."""
    near = reachable(network, meter.sensed[:1], conductors_and_protectors)
    below = strings(design, network.index, network.links)
    for name in design.of_kind(Battery):
        if network.node(f"{name}.positive") in near:
            stack = [name]
            while (under := below.get(stack[-1])) and under not in stack:
                stack.append(under)
            return sum(map(design.scale_of, stack))
    return design.aircraft.scale


def late_below(design: Design, name: str) -> float:
    """Volts of a battery at rest that has half of its charge left, by the chart that reads least:
    an alarm below them comes late. Raises NotAssessable."""
    battery = design.part(name, Battery)
    if battery.chemistry is None:
        raise NotAssessable(f"`chemistry` of {name}")
    share = practice("states_of_charge", "half-by-any-chart").low
    return assessed(lambda: rest_voltage(battery, share, design.class_of(name)))
