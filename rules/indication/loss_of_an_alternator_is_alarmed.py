"""The loss of each alternator is alarmed at once, while the batteries still carry what it fed.

Why: the minutes that a battery lasts begin when the alternator stops; where the crew learns of it from a dark panel they are spent.

How judged: each alternator that runs in the dispatch state is lost. Some monitor that has power must then stand on the side of its alarm: a voltage below its
`alarm-below`, which takes 12.8 V at least (25.6 V in a 28 V system) where a battery still holds it up; a current with an `alarm`; a lamp that comes on, or a
display of something live. A lamp that goes out, and amperes that merely fall, are no alarm.

Not covered: how long it takes until the battery's volts have fallen, a lithium battery that holds more than 13 V at rest, and whether the time is enough.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1351", "(c)(4), immediate warning of the failure of a generator"),
    ("cfr-23-1165", "(d), warning of a continuous discharge of a battery that serves the ignition"),
    ("ac-43-13-1b", "11-35(b), a warning below 13 V in a 14 V system"),
    ("practice", "12.8 V at least, so that a battery at rest lies below it"),
)
REMEDY = "Give the main bus an alarm below 13 V (26 V in a 28 V system), on a display that does not go with that bus."
LEAST = {"14 V": 12.8, "28 V": 25.6}


def subjects(facts: Facts):
    names = [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator) if facts.states.declared]
    return [n for n in names if facts.detection.told_of_alternator(n) is not None]


def judge(subject: Subject, facts: Facts):
    monitors, least = facts.design.watch.monitors, LEAST[facts.design.aircraft.nominal]
    if not monitors:
        raise NotAssessable("`watch` with its `monitors`")
    seen = []
    for told in facts.detection.told_of_alternator(subject.pointer) or ():
        monitor = monitors[told.monitor]
        if told.now in ("battery volts", "no volts") and monitor.alarm_below is not None:
            if told.now == "no volts" or monitor.alarm_below >= least:
                return
            seen.append(f"{told.monitor}: alarm below {monitor.alarm_below:g} V, {least:g} V wanted")
        elif told.now == "lights" or (
            told.now == "reads otherwise" and (monitor.alarm or monitor.shows == "live")
        ):
            return
        else:
            seen.append(f"{told.monitor}: {told.now}, no alarm")
    engine = any(f.loss == "catastrophic" for f in facts.design.functions.values())
    yield Unmet(
        f"When {subject.name} is lost in flight no alarm is given.",
        state=facts.states.operation.dispatch,
        numbers=(("what changes", "; ".join(seen) or "nothing"),),
        hazard=HazardClass.HAZARDOUS if engine else HAZARD,
    )
