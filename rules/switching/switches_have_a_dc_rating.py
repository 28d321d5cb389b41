"""A switch has a DC rating, not an AC rating alone.

Why: alternating current passes through zero and puts out its own arc; at DC the same switch may arc
for as long as it is open.

How judged: a switch with an `ac-rating` and without a `rating`, which is for DC. The remedy names
the DC rating that its loads need by AC 43.13-1B Table 11-4, where their currents are known.

Not covered: whether the rating is sufficient, which another rule covers.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, made_words, parts, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("ac-43-13-1b", "11-53f, switches rated for alternating current"),)
REMEDY = "Find the manufacturer's DC rating at the system voltage, or use a switch that has one."


def subjects(facts: Facts):
    of_kind = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Switch)]
    return [f"parts/{n}" for n, part in of_kind if part.rating is not None or part.ac_rating is not None]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.rating is None:
        yield Unmet(
            f"Switch {name} is rated {quantity(part.ac_rating, 'A')} AC; no DC rating.",
            field="ac-rating",
            numbers=(("AC rating", quantity(part.ac_rating, "A")),),
            remedy=_with_rating(subject, facts),
        )


def _with_rating(subject: Subject, facts: Facts) -> str:
    """The switch to use, where the currents of its contacts are known; else ""."""
    try:
        demands = [d for d in facts.switches.contact_demands(subject.pointer) if d.key == "rating"]
    except NotAssessable:
        return ""
    most = max(demands, key=lambda d: d.required, default=None)
    if most is None or any(d.need.missing for d in demands):
        return ""
    rating = made_words("contacts", most.required)
    return (
        f"Use a switch with a DC rating of {rating} or more as {subject.name}, or find that rating of the "
        "manufacturer for this one at the system voltage."
    )
