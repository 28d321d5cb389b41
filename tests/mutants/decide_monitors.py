"""Decisions about monitors: alarms and sense leads."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.model import parts as p
from reviewer.model.design import Monitor
from tests.mutants.evaluated import Evaluated
from tests.mutants.verdict import Case, Verdict

#: the least low-volts alarm of a 14 V system by trade practice: between a battery at rest and
#: one that is charged
LOW_VOLTS = 12.8
#: what a sense lead passes through
_LEADING = (p.Protector, p.Connector, p.Splice)


def alarm_removed(case: Case) -> Verdict:
    """The loss of an alternator wants an alarm; that of low volts tells of it from 12.8 V up."""
    names: Iterable[str] = case.mutant.elements
    told_by = [n for n, m in case.base.design.watch.monitors.items() if (m.alarm_below or 0) >= LOW_VOLTS]
    left = [n for n, m in case.changed.design.watch.monitors.items() if m.alarm_below]
    if not told_by:
        return case.undecided("No alarm told of an alternator lost before.")
    if not left:
        return case.yes(
            "No alarm is left that tells of an alternator lost.", *names, chapters=("indication",)
        )
    return case.undecided(f"The alarm of {left[0]} is left: whether it is enough is not settled.")


def sense_lead_cut(case: Case) -> Verdict:
    """A monitor whose instrument is no longer joined to what it senses; else a terminal with
    nothing on it.
    """
    instrument = case.mutant.elements[1]
    why = f"A signal terminal of {instrument} is connected to nothing."
    return blind_monitor(case) or case.yes(why, instrument, chapters=("documentation", "wiring"))


def blind_monitor(case: Case) -> Verdict | None:
    """A monitor that does not read any more what it says that it senses."""
    for name, monitor in case.base.design.watch.monitors.items():
        if _leads(case.base, monitor) != _leads(case.changed, monitor):
            why = f"{monitor.displayed_on} is not joined to {monitor.senses} as it was: {name} does not read it."
            return case.yes(why, name, monitor.displayed_on or "", chapters=("indication",))
    return None


def _leads(of: Evaluated, monitor: Monitor) -> tuple[frozenset[str], ...]:
    """The signal inputs that are nearest to what a monitor senses, by wires, devices and pins."""
    instrument = of.design.parts[monitor.displayed_on or ""]
    if not isinstance(instrument, p.Instrument):
        return ()
    sensed = monitor.senses
    starts = [sensed] if "." in sensed else [f"{sensed}.line", f"{sensed}.load"]
    signals = {f"{monitor.displayed_on}.{i.signal}" for i in instrument.inputs.values()}
    return tuple(_nearest(of, start, signals) for start in starts)


def _nearest(of: Evaluated, start: str, wanted: set[str]) -> frozenset[str]:
    """The nodes among some that wires, devices, pins and splices join to a node in the fewest
    steps.
    """
    front, seen = {start}, {start}
    while front and not front & wanted:
        front = {
            other
            for way in of.circuit.ways
            if way.element.startswith("wires/")
            or isinstance(of.design.parts[way.element.partition("/")[2]], _LEADING)
            for one, other in ((way.one, way.other), (way.other, way.one))
            if one in front
        } - seen
        seen |= front
    return frozenset(front & wanted)
