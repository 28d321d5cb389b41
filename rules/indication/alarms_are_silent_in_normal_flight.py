"""Alarms are silent, and warning lamps dark, in normal flight.

Why: a lamp that is lit in every flight is not seen when it means something, and is taped over.

How judged: each voltage or current with an `alarm-below` or `alarm-above` is solved where its sense
lead ends, in every phase of the normal state with nothing failed. It must be on the silent side of
both. Outside 13.4 V to 14.7 V (26.8 V to 29.4 V at a battery of 28 V) the alarm is right and the
voltage is not. That is minor here, as other rules judge the cause. A display without power gives no
alarm. A lamp that shows a monitor and whose `duty` is `intermittent` must be dark in the normal
state.

Not covered: lamps of which no duty is stated, alarms of a current in words, warnings on the ground,
and the spread of the regulator's setting.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, quantity, remedy

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "to be corrected"
CITATIONS = (
    ("practice", "a warning lamp is dark in normal flight"),
    ("ac-43-13-1b", "11-35b, a warning below 13 V in a 14 V system"),
)
REMEDY = (
    "Set the alarm below the voltage that is sensed in normal flight, drops and diodes included, and "
    "above that of a battery at rest. Set an overvoltage alarm above the regulator's setting."
)


def subjects(facts: Facts):
    monitors = facts.design.watch.monitors if facts.states.declared else {}
    return [
        f"watch/monitors/{name}"
        for name, m in monitors.items()
        if m.alarm_below is not None or m.alarm_above is not None or name in facts.detection.warning_lamps
    ]


def judge(subject: Subject, facts: Facts):
    monitor = facts.design.watch.monitors[subject.name]
    if lamp := facts.detection.warning_lamps.get(subject.name):
        if facts.states.answers()[0].healthy.powered[f"parts/{lamp}"]:
            yield Unmet(
                f"{lamp}, which shows {subject.name}, is lit in {(state := facts.states.operation.normal)}.",
                field="displayed-on",
                state=state,
                path=facts.states.path_to(state, f"parts/{lamp}"),
                remedy="Wire the lamp to what switches it, so that it is dark while nothing is wrong.",
            )
        return
    if monitor.displayed_on is None:
        raise NotAssessable(f"`displayed-on` of {subject.name}: what shows it")
    read = facts.detection.normal_volts.get(subject.name)
    below, above = monitor.alarm_below, monitor.alarm_above
    least, most = facts.detection.charging_volts(subject.name)
    if read and below is not None and exceeds(below, read.least):
        right = exceeds(least, read.least) and monitor.shows == "voltage"
        yield _unmet(subject.name, "below", (read.least, below, read.at_least), right, facts)
    if read and above is not None and exceeds(read.most, above):
        right = exceeds(read.most, most) and monitor.shows == "voltage"
        yield _unmet(subject.name, "above", (read.most, above, read.at_most), right, facts)


def _unmet(name: str, side: str, found: tuple[float, float, str], right: bool, facts: Facts) -> Unmet:
    (reads, limit, where), monitor = found, facts.design.watch.monitors[name]
    unit = "V" if monitor.shows == "voltage" else "A"
    usual = " to ".join(quantity(volts, "V") for volts in facts.detection.charging_volts(name))
    sets = [f"{machine}/set-point" for machine in facts.sources.at_work if right and side == "above"]
    at = "senses" if unit == "A" and side == "below" and reads <= 0 else f"alarm-{side}"
    mend = f"Bring the voltage in normal flight to {usual}; an alarm that is always on is ignored."
    return Unmet(
        f"Alarm of {name} is on in normal flight: it reads {quantity(reads, unit, limit)}, "
        f"alarm {side} {quantity(limit, unit)}"
        + (f". The alarm is right: the voltage is outside {usual}." if right else "."),
        field=f"alarm-{side}",
        state=facts.states.operation.normal,
        hazard=HazardClass.MINOR if right else None,
        changes=(*sets, *facts.detection.open_at_sense_point(name), f"watch/monitors/{name}/{at}"),
        numbers=(("solved in", where), ("senses", monitor.senses)),
        remedy=mend if right else remedy.silent_alarm(name, side, reads, unit),
    )
