"""An ammeter shows the crew charge and discharge.

Why: voltage alone shows late that the battery is being discharged.

How judged: for each alternator that charges a battery in the normal state, some current monitor
whose shunt, if removed, separates that alternator from a battery. It is in the alternator lead or
the battery lead. A voltmeter beside it is welcome, not required.

Not covered: the range of the ammeter and the polarity of its leads.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    (
        "cfr-23-1351",
        "(d), an ammeter in the generator feeder, or in the battery feeder where there is one generator",
    ),
)
REMEDY = "Put the ammeter shunt in the alternator lead or the battery lead."


def subjects(facts: Facts):
    names = [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator) if facts.states.declared]
    return [n for n in names if facts.detection.charge_meters(n) is not None]


def judge(subject: Subject, facts: Facts):
    monitors = facts.design.watch.monitors
    if not monitors:
        raise NotAssessable("`watch` with its `monitors`")
    if not facts.detection.charge_meters(subject.pointer):
        amps = [f"{n} at {m.senses}" for n, m in monitors.items() if m.shows == "current"]
        yield Unmet(
            f"No ammeter shows the output of {subject.name} or the current of its battery"
            + (f": {', '.join(amps)} shows neither." if amps else "; only voltage is shown."),
            state=facts.states.operation.normal,
            changes=tuple(f"watch/monitors/{n}/senses" for n, m in monitors.items() if m.shows == "current"),
            numbers=(("ammeters", ", ".join(amps)),) if amps else (),
        )
