"""Loss of an alternator raises an alarm at once, while the batteries still carry its loads.

Why: battery endurance starts when the alternator stops; a crew that learns of it from a dark panel
has spent it.

How judged: each alternator on line in the normal state is lost; one that stands by behind an open
contact is not on line, and a check shows whether it works. Some powered monitor must then be on the
alarm side: a voltage below its `alarm-below`; a current with an `alarm`; a lamp that lights, or a
display of something live. Voltage is solved: above `alarm-below` before, and below it at the moment
of the loss, the batteries as full as normal flight leaves them. What is crossed later is late.
Where figures for that are missing, an alarm at 12.8 V or more (25.6 V in a 28 V system) is taken to
come. A lamp that goes out, and a current that merely falls, are no alarm.

Not covered: whether a late alarm leaves enough time, and an alarm that is on before because the
alternator is overloaded.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, clock, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1351", "(c)(4), immediate warning of the failure of a generator"),
    ("cfr-23-1165", "(d), warning of a continuous discharge of a battery that serves the ignition"),
    ("ac-43-13-1b", "11-35b, a warning below 13 V in a 14 V system"),
    ("practice", "at least 12.8 V, so that the open-circuit voltage of a battery is below it"),
)
REMEDY = "Give the main bus an alarm above the voltage of a full battery, on a display that keeps its power."
LEAST, USUAL = {"14 V": 12.8, "28 V": 25.6}, {"14 V": 13.0, "28 V": 26.0}


def subjects(facts: Facts):
    names = [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator) if facts.states.declared]
    return [n for n in names if facts.detection.alternator_loss_indications(n) is not None]


def judge(subject: Subject, facts: Facts):
    monitors = facts.design.watch.monitors
    if not monitors:
        raise NotAssessable("`watch` with its `monitors`")
    seen = []
    for told in facts.detection.alternator_loss_indications(subject.pointer) or ():
        monitor = monitors[told.monitor]
        if monitor.alarm_below is not None and (told.low_voltage or told.lights):
            least = 0.0 if told.no_voltage else LEAST[facts.design.aircraft.nominal]
            no = _no_alarm(told.monitor, monitor.alarm_below, least, subject.pointer, facts)
        else:
            alarm = told.lights or (told.otherwise and (monitor.alarm or monitor.shows == "live"))
            no = "" if alarm else f"{told.now}, no alarm"
        if not no:
            return
        seen.append(f"{told.monitor}: {no}")
    late = facts.detection.alarm_after(subject.pointer)
    first = f" at once; {late.monitor} gives one {clock(late.seconds)} after it" if late else ""
    better = facts.detection.telling_alarm(subject.pointer, USUAL[facts.design.aircraft.nominal])
    engine = any(f.loss == "catastrophic" for f in facts.design.functions.values())
    yield Unmet(
        f"Loss of {subject.name} in flight raises no alarm{first if late and late.seconds else ''}.",
        state=facts.states.operation.normal,
        numbers=(("readings that change", "; ".join(seen) or "nothing"),),
        hazard=HazardClass.HAZARDOUS if engine else HAZARD,
        remedy=f"Set the alarm of {better[0]} at {quantity(better[1], 'V')}." if better else REMEDY,
    )


def _no_alarm(monitor: str, below: float, least: float, alternator: str, facts: Facts) -> str:
    """By which volts an alarm is no news of the loss; "" where it is."""
    try:
        before = facts.detection.normal_volts.get(monitor)
        after = facts.detection.volts_without(alternator).get(monitor)
    except NotAssessable:
        before = after = None
    # an alternator that is overloaded is judged elsewhere
    if before and facts.detection.charging_volts[0] <= before.least < below:
        return f"reads {quantity(before.least, 'V', below)} before it, alarm below {quantity(below, 'V')}"
    if after and after.most >= below:
        return f"reads {quantity(after.most, 'V', below)} after it, alarm below {quantity(below, 'V')}"
    if not after and below < least:
        return f"alarm below {quantity(below, 'V')}, required {quantity(least, 'V')}"
    return ""
