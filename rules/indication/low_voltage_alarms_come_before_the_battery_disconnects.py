"""A low-voltage alarm comes before the battery that it watches disconnects itself.

Why: the management of a lithium battery takes it off the bus at a voltage of its own. An alarm set
there comes with the dark panel, or not at all.

How judged: for each voltage with an `alarm-below`, the batteries that feed what it senses in any
state of normal flight; of a battery's own terminal that one alone. Where each of them has a
`low-voltage-disconnect`, the alarm must be above the lowest of these.

Not covered: how much time the alarm leaves; loads that stop above it; a battery that states no
disconnect.
"""

import math

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a warning reaches the crew while what it warns of still lasts"),)
REMEDY = "Raise the alarm, so that there is time to land or to change over before the battery disconnects."


def subjects(facts: Facts):
    return [f"watch/monitors/{n}" for n in facts.detection.alarms_of_disconnecting_batteries]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    battery, volts = facts.detection.alarms_of_disconnecting_batteries[name]
    alarm = facts.design.watch.monitors[name].alarm_below
    if alarm is not None and alarm <= volts:
        yield Unmet(
            f"Alarm of {name} comes below {quantity(alarm, 'V', volts)}; {battery} disconnects itself at "
            f"{quantity(volts, 'V', alarm)}.",
            field="alarm-below",
            numbers=(("senses", facts.design.watch.monitors[name].senses), ("battery", battery)),
            remedy=f"Set the alarm of {name} to {quantity(_next_tenth(volts), 'V')} or more; the higher "
            f"it is, the more time is left to land or to change over.",
        )


def _next_tenth(volts: float) -> float:
    """The next tenth of a volt above a voltage."""
    return (math.floor(round(volts * 10, 6)) + 1) / 10
