"""The loss of each battery and alternator is indicated by a monitor, or evident in use.

Why: sensed beyond a charging diode, or only while an alternator feeds that point, a dead or
disconnected battery reads as well as a good one.

How judged: each battery and alternator is lost in each state of flight, of a phase and of a check.
In at least one the solved reading of a monitor must leave its limits: of a check one that it
watches. It is enough too if a function is lost in flight, or if a check watches a function or part
that goes off, as an engine that stops. In any state on the ground an alarm is enough, a display or
instrument that goes dark, and a starter that does not turn. An abnormal state does not count: a
crew in one has other work. Limits of a voltage are its alarms, reached by the time the batteries
are at 80 %. Without an alarm, and of a current, they are all that is read in normal flight. Where a
check watches they are what tolerances and meter error leave around the reading with the source. A
current with an alarm must stop, reverse or appear. Where figures are missing, a voltage has three
levels: of a charging source, of a battery, none; and a current its direction.

Not covered: a weak battery that is not dead, and whether anybody makes the check.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, checks, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "a monitor is proved in a state in which its source alone feeds it"),
    ("ntsb", "event 20180529X02415, a reserve with its lead disconnected"),
)
REMEDY = (
    "Sense at the source's own terminal, and declare a check that watches it where the display has "
    "power and nothing else feeds that terminal, as before start."
)
MACHINE = (
    "Fit an ammeter into its output, with an alarm, or declare a check that watches it, with the engine "
    "running, where this alternator alone carries the loads."
)


def subjects(facts: Facts):
    return [
        f"parts/{n}" for n in facts.design.of_kind((parts.Battery, parts.Alternator)) if facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    if not facts.design.watch.monitors:
        raise NotAssessable("`watch` with its `monitors`")
    if facts.detection.source_loss_indications[subject.pointer] is None:
        facts.detection.require_read([subject.pointer])
        facts.detection.require_warnings(subject.pointer)
        machine = isinstance(subject.part(facts.design), parts.Alternator)
        alarm = facts.detection.telling_alarm(subject.pointer) if machine else None
        remedy = MACHINE if machine else REMEDY
        yield Unmet(
            f"Loss of {subject.name} is not indicated: no monitor leaves its limits in flight or in a check.",
            numbers=(
                ("monitors", ", ".join(f"{n} at {m.senses}" for n, m in facts.design.watch.monitors.items())),
                ("states", ", ".join(facts.detection.states_that_indicate)),
            ),
            changes=(f"watch/monitors/{alarm[0]}/alarm-below",) if alarm else checks([subject.pointer]),
            remedy=f"Set the alarm of {alarm[0]} at {quantity(alarm[1], 'V')}." if alarm else remedy,
        )
