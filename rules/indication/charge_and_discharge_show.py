"""The crew can tell charge from discharge by an ammeter.

Why: volts alone say late that the battery is being emptied.

How judged: for each alternator that charges a battery in the dispatch state, some monitor of a current whose shunt, taken out, parts that alternator from a
battery: it stands in the alternator's lead or in the battery's. Volts beside it are welcome and not asked for.

Not covered: the range of the ammeter and which way round its leads are.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (
    (
        "cfr-23-1351",
        "(d), an ammeter in the generator feeder, or in the battery feeder where there is one generator",
    ),
)
REMEDY = "Put the shunt of an ammeter into the alternator's lead or into the battery's."


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
            f"No ammeter shows what {subject.name} gives or what its battery takes"
            + (f": {', '.join(amps)} shows neither." if amps else "; only volts are shown."),
            state=facts.states.operation.dispatch,
        )
