"""Every stud nut is locked.

Why: a nut that vibrates loose opens every circuit on the stud at once, or arcs; engines have
stopped that way.

How judged: each stud says by `locked` whether its nut has a lock washer, a second nut or wire.

Not covered: torque, and terminals of bought units, whose data sheets say how they are locked.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("practice", "studs of heavy current and of the engine have lock washers or a second nut"),
    ("ntsb", "report in General Aviation News of 13 January 2026, both grounds on one stud, loose"),
)
REMEDY = "Lock the nut with a lock washer or a second nut, and mark it after it is torqued."


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.design.of_kind(parts.Stud)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    locked = subject.part(facts.design).locked
    if locked is None:
        raise NotAssessable(f"`locked` of {name}")
    if not locked:
        yield Unmet(f"The nut of stud {name} is not locked.", field="locked")
