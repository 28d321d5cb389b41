"""Loss of an alternator raises an alarm at once, while the batteries still carry its loads.

Why: battery endurance starts when the alternator stops; a crew that learns of it from a dark panel
has spent it.

How judged: each alternator on line in the normal state is lost. One that stands by, behind an open
contact or `standby-for` others beside which it gives nothing, is shown by a check. So is one that
feeds one load and no bus or battery. A powered monitor must then alarm: a voltage or current below
`alarm-below`, even if a standby holds it. Or a current with `alarm` in words goes, or a lamp or
display of something live lights. Readings are solved: above `alarm-below` before, below it at once,
also with batteries full, loads low, the field open and the error of the meter. Where figures are
missing, an alarm at 12.8 V or more (25.6 V of 28), or of a current, is taken to come. A lamp that
goes out is no alarm. Hazardous where a function of catastrophic loss needs electricity.

Not covered: whether a late alarm leaves enough time; an alarm that is on before by overload.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, clock, parts, quantity

HAZARD, CONSEQUENCE, LEAST = HazardClass.MAJOR, "not there when wanted", 12.8
CITATIONS = (
    ("cfr-23-1351", "(c)(4), immediate warning of the failure of a generator"),
    ("cfr-23-1165", "(d), warning of a continuous discharge of a battery that serves the ignition"),
    ("ac-43-13-1b", "11-35b, a warning below 13 V in a 14 V system"),
    ("practice", "at least 12.8 V, so that the open-circuit voltage of a battery is below it"),
)
REMEDY = "Fit an alarm above the voltage of a full battery, or a warning lamp, that has power after the loss."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Alternator) if facts.states.declared else ()
    beside = [f"parts/{n}" for n in names if not facts.sources.waits(n)]
    return [n for n in beside if facts.detection.alternator_loss_indications(n) is not None]


def judge(subject: Subject, facts: Facts):
    if not (monitors := facts.design.watch.monitors):
        raise NotAssessable("`watch` with its `monitors`")
    seen, may = [], False
    held = [h for h in facts.detection.held_voltages(subject.pointer) if monitors[h.monitor].alarm_below]
    for told in (*(facts.detection.alternator_loss_indications(subject.pointer) or ()), *held):
        monitor = monitors[told.monitor]
        current, low = monitor.shows == "current", told.low_voltage or told.lights or told in held
        if monitor.alarm_below is not None and (low or current):
            least = 0.0 if told.no_voltage or current else LEAST * facts.detection.scale_sensed(told.monitor)
            no, sure = _no_alarm(told.monitor, monitor.alarm_below, least, subject.pointer, facts)
        else:
            alarm = told.lights or (told.otherwise and (monitor.alarm or monitor.shows == "live"))
            no, sure = "" if alarm else f"{told.now}, no alarm", True
        if not no:
            return
        seen.append(f"{told.monitor}: {no}")
        may |= not sure
    facts.detection.require_warnings(subject.pointer)
    late = facts.detection.alarm_after(subject.pointer)
    first = f" at once; {late.monitor} gives one {clock(late.seconds)} after it" if late else ""
    better, raises = facts.detection.telling_alarm(subject.pointer), "may raise" if may else "raises"
    yield Unmet(
        f"Loss of {subject.name} in flight {raises} no alarm{first if late and late.seconds else ''}.",
        state=facts.states.operation.normal,
        numbers=(("readings that change", "; ".join(seen) or "nothing"),),
        hazard=HazardClass.HAZARDOUS if facts.states.stops_with_electricity else HAZARD,
        changes=(f"watch/monitors/{better[0]}/alarm-below",) if better else (),
        remedy=f"Set the alarm of {better[0]} at {quantity(better[1], 'V')}." if better else REMEDY,
    )


def _no_alarm(monitor: str, below: float, least: float, alternator: str, facts: Facts) -> tuple[str, bool]:
    """By which reading an alarm is no news of the loss, and whether it surely is none; "" where it is."""
    unit = "V" if facts.design.watch.monitors[monitor].shows == "voltage" else "A"
    try:
        found = facts.detection.no_news(monitor, alternator)
    except NotAssessable:
        known = f"alarm below {quantity(below, 'V')}, required {quantity(least, 'V')}"
        return known if below < least else "", True
    if not found:
        return "", True
    reads, limit = quantity(found.reads, unit, below), quantity(below, unit)
    worst = "" if found.may is None else f", at worst {quantity(found.may, unit, below)},"
    return f"reads {reads}{worst} {found.when} it, alarm below {limit}", found.may is None
