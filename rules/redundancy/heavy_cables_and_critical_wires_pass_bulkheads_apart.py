"""No grommet or fitting of a bulkhead passes a cable of alternator, starter or outside power together with a wire of a critical function.

Why: where a grommet wears through, the heavy cable burns, and the fire takes the wires that keep the engine running.

How judged: heavy are the wires between a main battery and the alternators, starters and sockets for outside power; critical are the wires of the
circuits of loads and instruments of a hazardous or catastrophic function. No name in `through` may stand at a wire of both kinds. A wire that is
both, such as the lead of an alternator that feeds an ignition by itself, is no pair.

Not covered: a wire that passes a bulkhead and does not say so, once others do; how the opening is lined and sealed.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (("practice", "heavy cables and engine wires have openings of their own in the firewall"),)
REMEDY = "Lead the heavy cable through a fitting of its own."


def subjects(facts: Facts):
    if not facts.wires.critical_loads:
        return []
    if not facts.grounds.openings and facts.design.aircraft.stage != "concept":
        raise NotAssessable("`through` of the wires that pass a bulkhead")
    return list(
        dict.fromkeys(wire for opening in facts.grounds.openings.values() for wire, _ in opening.heavy)
    )


def judge(subject: Subject, facts: Facts):
    for name, opening in facts.grounds.openings.items():
        served = dict(opening.heavy).get(subject.pointer)
        beside = [(wire, load) for wire, load in opening.critical if wire != subject.pointer]
        if served and beside:
            loads = ", ".join(dict.fromkeys(load for _, load in beside))
            yield Unmet(
                f"{subject.name}, a cable of {served}, passes {name} together with wires of {loads}.",
                field="through",
                path=(subject.pointer, *(wire for wire, _ in beside)),
            )
