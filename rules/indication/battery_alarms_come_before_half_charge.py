"""The low-voltage alarm of a battery comes before half of its charge is gone.

Why: a battery whose charging line has failed is used up unseen until the alarm. An alarm at 11 V
comes when nothing is left for the emergency.

How judged: the highest `alarm-below` of the voltages that are there to watch a battery, against its
open-circuit voltage by chemistry when half charged. Those that watch a reserve are sensed at its
positive terminal. A main battery is judged if it is charged through a diode or by a charger, as its
charge can then fail while every alternator works. Its voltages are sensed past nothing but
conductors, circuit protection and contacts closed in normal flight. Where another alarm shows each
such failure at once, this one is not judged. As charts differ by a tenth of the charge, the limit
is the voltage at 40 %. That is 12.12 V for lead-acid, 13.2 V for lithium iron phosphate, twice that
at 28 V.

Not covered: the drop inside the battery while it is used, which brings the alarm forward; a battery
without an alarm; a main battery that an alternator charges directly
(alternator-loss-raises-an-alarm). In an aircraft without alternator the flight is to use it up.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, at_least, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("open-circuit-voltage-rule-of-thumb", "lead-acid, by state of charge"),
    ("lithium-open-circuit-voltage-chart", "lithium iron phosphate, by state of charge"),
    ("practice", "a battery is to show its loss of charge while half of it is left"),
)
REMEDY = (
    "Raise the alarm above the open-circuit voltage of the half charged battery and below that at which "
    "it is charged."
)


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Battery) if _alarms(n, facts)]


def judge(subject: Subject, facts: Facts):
    limit = facts.detection.late_below(subject.name)
    monitor, volts = max(_alarms(subject.name, facts).items(), key=lambda alarm: alarm[1])
    if volts < limit and not facts.detection.lost_charge_is_shown(subject.name):
        yield Unmet(
            f"Alarm of {subject.name} comes when more than half of its charge is gone: below "
            f"{quantity(volts, 'V', limit)}, minimum {quantity(limit, 'V', volts)}.",
            changes=(f"watch/monitors/{monitor}/alarm-below",),
            numbers=(("monitor", monitor), ("senses", facts.design.watch.monitors[monitor].senses)),
            remedy=f"Set the alarm to {at_least(limit, 'V')} or more, and below the voltage at "
            f"which {subject.name} is charged.",
        )


def _alarms(name: str, facts: Facts) -> dict[str, float]:
    """Volts of each alarm that is there to watch a battery, by monitor."""
    alarms = {
        n: m.alarm_below
        for n, m in facts.design.watch.monitors.items()
        if m.shows == "voltage" and m.alarm_below is not None
    }
    if facts.design.part(name, parts.Battery).purpose == "reserve":
        senses = facts.design.watch.monitors
        return {n: v for n, v in alarms.items() if facts.paths.senses_at_terminal(senses[n].senses, name)}
    if not alarms or not facts.states.declared:
        return {}
    watching = facts.detection.watching(name)
    return {n: volts for n, volts in alarms.items() if n in watching}
