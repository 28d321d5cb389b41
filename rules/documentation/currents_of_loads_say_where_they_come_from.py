"""Each current in the load list says whether it was measured, stated by the maker, or estimated; as built, none is estimated.

Why: the balance of a flight is as good as its numbers, and an estimate that nobody marked is taken for a reading for years.

How judged: from the detailed stage on, each load and instrument with a current says by `figures` where it comes from. In an as-built file an estimate is
a finding.

Not covered: whether the number is right.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "load lists name the source of each number"),)
REMEDY = "Measure the current at the first power-up and write it down."


def subjects(facts: Facts):
    if facts.design.aircraft.stage == "concept":
        return []
    loads = [n for n in facts.design.of_kind(parts.Consumer) if facts.design.parts[n].current is not None]
    if loads and all(facts.design.parts[n].figures is None for n in loads):
        raise NotAssessable("`figures` of the loads and instruments")
    return [f"parts/{n}" for n in loads]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    figures = subject.part(facts.design).figures
    if figures is None:
        raise NotAssessable(f"`figures` of {name}")
    if figures == "estimate" and facts.design.aircraft.stage == "as-built":
        yield Unmet(f"The current of {name} is an estimate in an as-built file.", field="figures")
