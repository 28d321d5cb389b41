"""The alarm that first shows the loss of generation, while the batteries run down and the crew does
nothing.

A voltage is solved as the batteries discharge, each with the resistance of a new one, which holds it
up longest, and read with the error of its meter, which counts against the alarm: what is promised of
it holds in the worse outcome. What may be on the alarm side before the loss shows nothing.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import partial
from itertools import groupby

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.detection.alarms import indications
from reviewer.analysis.detection.reading_limits import ReadingLimits
from reviewer.analysis.endurance.depletion import DepletionMoment
from reviewer.analysis.endurance.generation_loss import GenerationLoss
from reviewer.analysis.endurance.shedding import LossNotice
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.tolerances import NOTHING
from reviewer.model.design import Monitor
from reviewer.network.meters import Meter


def first_alarm(
    loss: GenerationLoss,
    meters: Mapping[str, Meter],
    normal: StateAnswer,
    silent: Collection[str],
    errors: Mapping[str, float],
    limits: ReadingLimits,
) -> LossNotice | None:
    """The first alarm that surely comes after the loss of generation; None where none does. ``silent``
    are the monitors whose alarm is surely off in normal flight, ``errors`` by how much each may read more
    than is there, ``limits`` say whether a current is another. Raises NotAssessable."""
    monitors = loss.design.watch.monitors
    at_once = _at_once(meters, normal, loss.case, monitors, limits)
    if at_once:
        return LossNotice(at_once, 0.0)
    alarms = {
        name: meter
        for name, meter in meters.items()
        if not meter.lamp
        and meter.shows != "live"
        and monitors[name].alarm_below is not None
        and name in silent
    }
    levels = {name: (monitors[name].alarm_below or 0.0, errors.get(name, 0.0)) for name in alarms}
    found = list(_low_volts(loss, alarms, levels, [loss.beginning])) or list(
        _low_volts(loss, alarms, levels, loss.unnoticed.trail)
    )
    return min(found, key=lambda notice: notice.seconds) if found else None


def _at_once(
    meters: Mapping[str, Meter],
    normal: StateAnswer,
    case: tuple[Failure, ...],
    monitors: Mapping[str, Monitor],
    limits: ReadingLimits,
) -> str:
    """A lamp that lights, or an alarm of something else than volts, with the loss."""
    for told in indications(meters, normal, case, limits):
        alarm = monitors[told.monitor].alarm or monitors[told.monitor].shows == "live"
        if told.lights or (told.otherwise and alarm):
            return told.monitor
    return ""


def _low_volts(
    loss: GenerationLoss,
    alarms: Mapping[str, Meter],
    levels: Mapping[str, tuple[float, float]],
    trail: Sequence[DepletionMoment],
) -> Iterator[LossNotice]:
    """For each monitor, the first of some moments at which it can be read and surely reads less than
    its level, whatever its error; what has nothing reads nothing."""
    from reviewer.analysis.operating_point.charge_sweep import alarm_readings

    waiting = dict(alarms)
    for _, leg in groupby(trail, key=lambda moment: id(moment[1])):
        moments = list(leg)
        if not waiting:
            return
        scenario, charges = moments[0][1], [charges for _, _, charges in moments]
        read = assessed(partial(alarm_readings, loss.operating, scenario, charges, waiting))
        for name, values in read.items():
            level, error = levels[name]
            for (seconds, _, _), volts in zip(moments, values, strict=True):
                if volts + (error if abs(volts) >= NOTHING else 0.0) < level:
                    yield LossNotice(name, seconds)
                    del waiting[name]
                    break
