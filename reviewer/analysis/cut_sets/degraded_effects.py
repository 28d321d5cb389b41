"""What a degraded joint, contact or battery does at one resistance, and a diode or rectifier that
leaks: the volts of the loads of functions, the functions lost, and what shows it.

A monitor shows it where its reading leaves the limits of a sound system, or reaches its alarm.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import DROPPED, Failure
from reviewer.analysis.cut_sets.degradation import ROUNDING_V, Degradation
from reviewer.model.design import Monitor
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint
    from reviewer.analysis.operating_point.tolerances import Within

#: a change of voltage below this is not told, V
LEAST_V = 0.01


@record
class LoadVolts:
    """Volts across a load ``before`` and ``after`` a failure."""

    load: str
    before: float
    after: float
    minimum: float | None
    maximum: float | None

    @property
    def low(self) -> bool:
        """Whether it then has less than its minimum."""
        return self.minimum is not None and self.after < self.minimum - ROUNDING_V

    @property
    def high(self) -> bool:
        """Whether it then has more than it is rated for."""
        return self.maximum is not None and self.after > self.maximum + ROUNDING_V


@record
class ShownBy:
    """A monitor that shows it: its ``reading``, None where it is dark, and the limits of a sound
    system; ``alarm`` where its alarm is given, ``dark`` where its display has too little voltage."""

    monitor: str
    reading: float | None
    sound: Within | None
    alarm: bool
    dark: bool


@record
class DegradedEffect:
    """What one degraded or leaking thing does in a state, at the ohms of ``failure``: the ``loads``
    of functions whose volts change, in the phase in which they have least; relays ``dropped``;
    alternators (a name, the volts at its output, its trip) that ``reach`` their overvoltage trip."""

    failure: Failure
    loads: tuple[LoadVolts, ...]
    dropped: tuple[str, ...]
    functions: tuple[tuple[str, HazardClass], ...]
    shown: tuple[ShownBy, ...]
    reach: tuple[tuple[str, float, float], ...] = ()


def degraded_effect(of: Degradation) -> DegradedEffect:
    """What it does at the ohms of its failure. Raises NotAssessable."""
    state, failure = of.answer.state.name, of.failure
    loads: dict[str, LoadVolts] = {}
    lost: dict[str, HazardClass] = {}
    dropped: dict[str, None] = {}
    solved: list[tuple[OperatingPoint, OperatingPoint]] = []
    reached: dict[str, tuple[str, float, float]] = {}
    for phase in of.phases:
        _, relays, tripped = of.at(failure.ohms, phase)
        relays = () if tripped else relays  # what drops out only once an alternator has tripped
        reached |= {name: (name, volts, trip) for name, volts, trip in of.reached(failure.ohms, phase)}
        dropped.update(dict.fromkeys(relays))
        case = (failure, *(Failure(f"parts/{r}", DROPPED) for r in relays))
        sound = of.points.operating_point(state, phase)
        failed = of.points.operating_point(state, phase, case)
        solved.append((sound, failed))
        for volts in _volts(of, sound, failed):
            if volts.load not in loads or volts.after < loads[volts.load].after:
                loads[volts.load] = volts
        works, before = of.works([failure.ohms], phase), of.works(of.from_harmless[:1], phase)
        lost |= {n: HazardClass.of(f.loss) for n, f in of.functions.items() if before[n] and not works[n]}
    told = (v for v in loads.values() if v.low or v.high or abs(v.after - v.before) >= LEAST_V)
    return DegradedEffect(
        failure,
        tuple(sorted(told, key=lambda v: v.after - v.before)),
        tuple(dropped),
        tuple(sorted(lost.items(), key=lambda entry: -entry[1])),
        tuple(_shown(of, solved)),
        tuple(reached.values()),
    )


def _volts(of: Degradation, sound: OperatingPoint, failed: OperatingPoint) -> Iterator[LoadVolts]:
    for element in of.watched:
        if element in sound.across:
            part, after = of.design.parts[bare(element)], failed.across.get(element, 0.0)
            yield LoadVolts(bare(element), sound.across[element], after, part.minimum, part.maximum)


def _shown(of: Degradation, solved: Sequence[tuple[OperatingPoint, OperatingPoint]]) -> Iterator[ShownBy]:
    """The monitors that show it in every phase."""
    spread = of.points.spread(of.answer.state.name)
    for name, monitor in of.design.watch.monitors.items():
        pairs = [(sound.readings[name], failed.readings[name]) for sound, failed in solved]
        dark = all(after.blank and not before.blank for before, after in pairs)
        read = [after.value for _, after in pairs if after.value is not None and not after.blank]
        usual = [before.value for before, _ in pairs if before.value is not None]
        sign = of.points.alarm_sign(name)
        within = spread.monitor(name) if read and monitor.shows in ("voltage", "current") else None
        alarm = (
            bool(read)
            and all(_alarms(monitor, sign * v) for v in read)
            and not any(_alarms(monitor, sign * v) for v in usual)
        )
        outside = within is not None and not any(within.holds(v) for v in read)
        if dark or alarm or outside:
            yield ShownBy(name, read[0] if read else None, within, alarm, dark)


def _alarms(monitor: Monitor, reading: float) -> bool:
    below, above = monitor.alarm_below, monitor.alarm_above
    return (below is not None and reading < below) or (above is not None and reading > above)
