"""A switch has a DC rating, not an AC rating alone.

Why: alternating current passes through zero and puts out its own arc; at DC the same switch may arc
for as long as it is open.

How judged: a switch with an `ac-rating` and without a `rating`, which is for DC.

Not covered: whether the rating is sufficient, which another rule covers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts, quantity

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
        )
