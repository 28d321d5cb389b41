"""An over-voltage trip that shorts the field feed opens a breaker of its own at once.

Why: a short through a long thin feed draws so little that the breaker takes seconds, while the alternator runs away; and a breaker that feeds more than the
field takes that with it.

How judged: where `trip-acts-on` is `field-short`: a short from the field terminal to the ground of the alternator, the battery that gives most, cold or aged,
by the way of least resistance, against ten times the rating of the nearest protector; no load goes when that one opens; and the wires from it to the
field bear the current for 0.1 s (IEC 60949).

Not covered: trips that open the field or the output, and feeds without a protector, of which another rule tells.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "a crowbar draws ten times the rating of its breaker, which then opens in 0.1 s; no source"),
    ("iec-60949", "adiabatic equation, constants as restated in public texts"),
)
REMEDY = "Give the field a breaker of its own, 5 A, and short leads."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Alternator)
    return [
        f"parts/{n}"
        for n in names
        if facts.design.parts[n].trip_acts_on == "field-short" and facts.protection.crowbar(n)
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
    numbers = (
        ("current", f"{short.amps:.3g} A"),
        ("limit", f"{limit:g} A or more"),
        *facts.protection.typical_on(short.passed),
    )
    if found.takes:
        yield Unmet(
            f"The trip of {subject.name} opens {name}, which takes {', '.join(found.takes)} as well.",
            state=short.state,
        )
    elif short.amps < limit:
        yield Unmet(
            f"The trip draws {short.amps:.3g} A through {name} of {rating:g} A: it opens late.",
            field="trip-acts-on",
            state=short.state,
            numbers=numbers,
        )
    elif hurt := facts.protection.wire_hurt_by(found):
        yield Unmet(
            f"The trip draws {short.amps:.3g} A, which {hurt[0]} bears for {hurt[1]:.2g} s.",
            field="trip-acts-on",
            state=short.state,
            numbers=(*numbers, ("seconds until the breaker opens", f"{hurt[2]:g} s")),
        )
