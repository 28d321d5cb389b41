"""A crowbar that shorts the field feed trips its own breaker at once.

Why: a short through a long thin feed draws so little that the breaker takes seconds, while the
overvoltage lasts; a breaker that feeds more than the field drops that too.

How judged: if `trip-acts-on` is `field-short` or `coil-short`, a short is made from the field, the
control, or the coil of the contactor in the output, to the alternator's ground. From the battery
with the highest fault current, cold or aged, by the path of least resistance, it draws ten times
the rating of the nearest breaker or fuse. No load is lost when that opens, nor one that a switch
turns on later, and the wires withstand the current for 0.1 s (IEC 60949).

Not covered: trips that open the field or the output; unprotected feeds (another rule).
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    exceeds,
    parts,
    quantity,
    rated,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "a crowbar draws ten times the rating of its breaker, which then opens in 0.1 s"),
    ("iec-60949", "adiabatic equation, constants of copper"),
)
REMEDY = "Give what the crowbar shorts its own 5 A breaker and short leads."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Alternator)
    return [
        f"parts/{n}"
        for n in names
        if facts.design.parts[n].trip_acts_on in ("field-short", "coil-short") and facts.protection.crowbar(n)
    ]


def judge(subject: Subject, facts: Facts):
    found = facts.protection.crowbar(subject.name)
    if found is None:
        return
    short, name = found.short, found.short.protector
    rating = facts.design.parts[name].rating
    if rating is None:
        raise NotAssessable(f"`rating` of {name}")
    limit = rating * facts.protection.crowbar_multiple
    current, typical = ("current", quantity(short.amps, "A")), facts.protection.typical_on(short.passed)
    if found.takes:
        yield Unmet(
            f"The crowbar of {subject.name} opens {rated(name, facts.design.parts[name])}, which also feeds "
            f"{', '.join(found.takes)}.",
            state=short.state,
            path=short.passed,
            numbers=(("also feeds", ", ".join(found.takes)),),
        )
    elif exceeds(limit, short.amps):
        yield Unmet(
            f"The crowbar of {subject.name} draws {quantity(short.amps, 'A', limit)} through "
            f"{rated(name, facts.design.parts[name])}; required {quantity(limit, 'A')} to open it at once.",
            field="trip-acts-on",
            state=short.state,
            path=short.passed,
            numbers=(current, ("limit", f"{quantity(limit, 'A')} or more"), *typical),
        )
    elif hurt := facts.protection.wire_hurt_by(found):
        yield Unmet(
            f"The crowbar of {subject.name} draws {quantity(short.amps, 'A')}; {hurt[0]} withstands it for "
            f"{quantity(hurt[1], 's', hurt[2])}, the breaker opens in {quantity(hurt[2], 's')}.",
            field="trip-acts-on",
            state=short.state,
            path=short.passed,
            numbers=(current, *typical, ("breaker opening time", quantity(hurt[2], "s"))),
        )
