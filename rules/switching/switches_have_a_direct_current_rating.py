"""A switch has a rating for direct current, not for alternating current alone.

Why: alternating current goes through zero and puts out its own arc; at direct current the same switch may burn for as long as it is open.

How judged: a switch whose `alternating-rating` is given and whose `rating`, which is for direct current, is not.

Not covered: whether the figure is enough: that is judged by another rule.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("ac-43-13-1b", "11-53f, switches rated for alternating current"),)
REMEDY = "Find the maker's figure for direct current at the system's voltage, or use a switch that has one."


def subjects(facts: Facts):
    of_kind = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Switch)]
    return [
        f"parts/{n}" for n, part in of_kind if part.rating is not None or part.alternating_rating is not None
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.rating is None:
        yield Unmet(
            f"{name} is rated {part.alternating_rating:g} A for alternating current only.",
            field="alternating-rating",
            numbers=(("alternating current", f"{part.alternating_rating:g} A"),),
        )
