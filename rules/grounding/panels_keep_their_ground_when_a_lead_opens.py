"""No single ground lead is all that several loads have, and when one of two opens the other holds them near the ground of their source.

Why: one loose nut or broken lug at a panel's only ground takes every instrument on it at once, or lifts them all by volts.

How judged: in the states of normal flight each wire between grounds, and each other wire on the return side, is opened. Two or more loads may not lose
their return. Loads that all serve functions which live on without them are the ground of one channel, and accepted. Of the loads that stay powered
none may stand more than 1 V from the nearest negative of a source, at the currents of each phase.

Not covered: the block or stud itself, which other rules judge; corrosion of all leads at once.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-186e, a ground that several circuits share"),
    ("practice", "two leads by different routes ground a panel; 1 V on the one that is left"),
)
REMEDY = "Add a second ground lead of the same size by another route."


def subjects(facts: Facts):
    if not facts.states.flight_answers():
        return []
    return list(
        dict.fromkeys((*(f"wires/{n}" for n in facts.grounds.ground_leads), *facts.grounds.lost_grounds))
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    lost = facts.grounds.lost_grounds.get(subject.pointer)
    if lost:
        yield Unmet(
            f"{name} is the only ground lead of {', '.join(lost.users)}: when it opens they have no return.",
            state=lost.state,
            failure="open",
        )
        return
    rise = facts.grounds.rise(name)
    if rise.volts > rise.most:
        yield Unmet(
            f"When {name} opens, the return of {rise.user} stands {rise.volts:.1f} V from that of its source; {rise.most:g} V is the most by common practice.",
            state=rise.state,
            failure="open",
            numbers=rise.assumed,
        )
    elif rise.missing:
        raise NotAssessable(", ".join(f"{key} of {bare(element)}" for element, key in rise.missing.items()))
