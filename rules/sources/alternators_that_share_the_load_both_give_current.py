"""Alternators that share the load both deliver current in flight.

Why: of two regulators that hold one bus, the one with the higher set point carries everything.
The other machine idles, nobody sees whether it still works, and the first runs at its limit.

How judged: each alternator that `shares-with` others, in each flight state in which both are on
line: solved, it delivers current where the other one does. The share of each is not judged: no
published source gives a limit.

Not covered: what a paralleling line between the regulators makes of different set points; states
on the ground, with the engines at idle.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "paralleled regulators are adjusted to the same voltage"),)
REMEDY = "Adjust both regulators to the same voltage, sensed where the alternators are joined."


def subjects(facts: Facts):
    design = facts.design
    sharing = [n for n in design.of_kind(parts.Alternator) if design.parts[n].shares_with]
    return [f"parts/{n}" for n in sharing] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    found = facts.sources.idle_beside(subject.name)
    if found is not None:
        others = quantity(found.others, "A")
        yield Unmet(
            f"{subject.name} delivers no current in {found.flown}, while {found.other}, with which it shares "
            f"the load, delivers {others}.",
            field="shares-with",
            state=found.flown.state,
            numbers=((subject.name, quantity(found.amperes, "A")), (found.other, others)),
            extent=found.other,
        )
