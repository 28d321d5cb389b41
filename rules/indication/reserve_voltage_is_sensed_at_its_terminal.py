"""The voltage of every reserve battery is shown, sensed at its own terminal.

Why: sensed beyond the charging diode, a fuse or a switch, a dead or disconnected reserve reads as
well as a good one.

How judged: a voltage monitor senses a point joined to the reserve's positive terminal by conductors
alone, or by a fuse or breaker that feeds nothing but the sense lead.

Not covered: the threshold of the alarm (battery-alarms-come-before-half-charge).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "a reserve is sensed at its terminal"),
    ("ntsb", "event 20180529X02415, a reserve with its lead disconnected"),
)
REMEDY = "Sense at the reserve battery's positive terminal, through its own small fuse."


def subjects(facts: Facts):
    return [
        f"parts/{n}"
        for n in facts.design.of_kind(parts.Battery)
        if facts.design.parts[n].purpose == "reserve"
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitors = facts.design.watch.monitors
    if not monitors:
        raise NotAssessable("`watch` with its `monitors`")
    volts = {n: m.senses for n, m in monitors.items() if m.shows == "voltage" and "." in m.senses}
    if not any(facts.paths.senses_at_terminal(senses, name) for senses in volts.values()):
        seen = ", ".join(f"{n} at {senses}" for n, senses in volts.items()) or "none shows a voltage"
        yield Unmet(
            f"No voltage monitor senses {name} at its terminal ({seen}).",
            numbers=(("voltage monitors", seen),),
            changes=tuple(f"watch/monitors/{n}/senses" for n in volts),
        )
