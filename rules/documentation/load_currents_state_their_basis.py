"""Each load current states its basis; in an as-built file none is an estimate.

Why: a load analysis is as good as its numbers, and an unmarked estimate passes for a reading for
years.

How judged: from the detailed stage on, each load and instrument with a current states its basis by
`figures`, measured or maker. Else it is an estimate by its sign, ~5 A, or its ends, 4 to 6 A. In an
as-built file an estimate is a finding.

Not covered: whether the number is right.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
AS_WRITTEN = True
CITATIONS = (("practice", "load lists state the basis of each number"),)
REMEDY = "Measure the current at first power-up and enter it."


def subjects(facts: Facts):
    if facts.design.aircraft.stage == "concept":
        return []
    loads = [n for n in facts.design.of_kind(parts.Consumer) if facts.design.parts[n].current is not None]
    if loads and all(_basis(facts.design.parts[n]) is None for n in loads):
        raise NotAssessable("`figures` of the loads and instruments")
    return [f"parts/{n}" for n in loads]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    basis = _basis(subject.part(facts.design))
    if basis is None:
        raise NotAssessable(f"`figures` of {name}")
    if basis == "estimate" and facts.design.aircraft.stage == "as-built":
        yield Unmet(f"The current of {name} is an estimate in an as-built file.", field="current")


def _basis(load: parts.Consumer) -> str | None:
    return "estimate" if load.estimated else load.figures
