"""On the main battery alone, two peaks at once leave every needed load the voltage that it needs.

Why: a motor that pulls a nearly flat battery down for a moment has reset an engine's computer.

How judged: after the loss of the alternator and the shed plan, with the main battery at the charge that it has when the wanted time is up, aged and cold:
the two loads that add most at their `peak`, of those that are on and of those that one switch turns on. Each load that a function of class major or
worse rests on, and that the battery feeds, must keep its minimum; one that holds up for a second without supply is left out.

Not covered: three peaks at once, the starter, and a load's own dip at its own peak.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, percent

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the worst two peaks at once, at the lowest volts of the battery"),)
REMEDY = "Bar the two from running together in the checklist, feed the needed load past the common wire, or give it a supply that holds up."


def subjects(facts: Facts):
    loads = [facts.design.parts[n] for n in facts.design.of_kind(parts.Consumer)]
    if (
        not facts.design.of_kind(parts.Alternator)
        or not facts.states.declared
        or not any(p.peak or p.used == "intermittent" for p in loads)
    ):
        return []
    return [
        f"parts/{n}" for n in facts.design.of_kind(parts.Battery) if facts.design.parts[n].purpose == "main"
    ]


def judge(subject: Subject, facts: Facts):
    wanted = facts.states.operation.endurance
    if wanted is None:
        raise NotAssessable(
            "`endurance` of the operation: the time wanted on battery after the alternator is lost"
        )
    sag = facts.endurance.sag(subject.name, wanted)
    if not sag.low:
        return
    name, volts, minimum = min(sag.low, key=lambda entry: entry[1] - entry[2])
    together = " and ".join(f"{p.load} ({p.amperes:g} A)" for p in sag.peaks)
    grave = any(
        f.loss in ("hazardous", "catastrophic") and name in facts.states.loads_of(n)
        for n, f in facts.design.functions.items()
    )
    yield Unmet(
        f"{name} has {volts:.1f} V and needs {minimum:g} V while {together} {'draw their peaks' if sag.peaks[1:] else 'draws its peak'} on "
        f"{sag.battery}.",
        state=sag.state,
        hazard=HazardClass.MAJOR if grave else None,
        numbers=(
            ("below their minimum", ", ".join(f"{n} {v:.1f} V" for n, v, _ in sag.low)),
            ("volts of the battery then", f"{sag.volts:.1f} V, at {percent(sag.charge)} of its charge"),
            ("held for it", ", ".join(f"{p.move[0]} {p.move[1]}" for p in sag.peaks if p.move) or "nothing"),
            ("typical values that the solved state rests on", str(len(sag.typical))),
        ),
    )
