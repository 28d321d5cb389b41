"""On the main battery alone, two peak loads at once leave every needed load its minimum voltage.

Why: a motor that pulled a nearly flat battery down for a moment has reset an engine computer.

How judged: after loss of the alternator and the shed plan, with the main battery at its charge at
the end of the required time, aged and cold. The two loads that add most are at their `peak`, of
those on and of those that one switch turns on, where no exclusion bars the two moves together. Each
load of a function of class major or worse that the battery feeds must keep its minimum, unless a
move turns it off. A load with a hold-up of a second is not judged.

Not covered: three peaks at once, the starter, and the dip of a load at its own peak.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    parts,
    percent,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "the worst two peaks at once, at the lowest battery voltage"),)
REMEDY = (
    "Forbid the two together in the checklist, feed the needed load ahead of the common wire, or give "
    "it a supply with hold-up."
)


def subjects(facts: Facts):
    loads = [facts.design.parts[n] for n in facts.design.of_kind(parts.Consumer)]
    if (
        not facts.design.of_kind(parts.Alternator)
        or not facts.states.declared
        or not any(p.peak or p.duty == "intermittent" for p in loads)
    ):
        return []
    return [
        f"parts/{n}" for n in facts.design.of_kind(parts.Battery) if facts.design.parts[n].purpose == "main"
    ]


def judge(subject: Subject, facts: Facts):
    wanted = facts.states.operation.endurance
    if wanted is None:
        raise NotAssessable(
            "`endurance` of the operation: the time required on battery after loss of the alternator"
        )
    sag = facts.endurance.undervoltage_at_peak(subject.name, wanted)
    if not sag.low:
        return
    name, volts, minimum = min(sag.low, key=lambda entry: entry[1] - entry[2])
    together = and_list(f"{p.load} ({quantity(p.amperes, 'A')})" for p in sag.peaks)
    grave = any(
        f.loss in ("hazardous", "catastrophic") and name in facts.states.loads_of(n)
        for n, f in facts.design.functions.items()
    )
    yield Unmet(
        f"{name} has {quantity(volts, 'V', minimum)} on {sag.battery} with {together} at "
        f"{'their peaks' if sag.peaks[1:] else 'its peak'}; minimum "
        f"{quantity(minimum, 'V')}.",
        state=sag.state,
        hazard=HazardClass.MAJOR if grave else None,
        numbers=(
            ("at peak", together),
            ("below their minimum", ", ".join(f"{n} {quantity(v, 'V')}" for n, v, _ in sag.low)),
            ("battery voltage then", f"{quantity(sag.volts, 'V')}, at {percent(sag.charge)} state of charge"),
            (
                "switches moved",
                ", ".join(f"{p.move[0]} {p.move[1]}" for p in sag.peaks if p.move) or "nothing",
            ),
            ("typical values used in the solved state", str(len(sag.typical))),
        ),
    )
