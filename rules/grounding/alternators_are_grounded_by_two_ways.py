"""An alternator and its regulator are grounded by two ways.

Why: a loose crimp in the only ground makes the regulator see less than the bus has and raise it until batteries boil, or takes the alternator.

How judged: on the way from its ground terminal to a ground block or the negative of a battery, no single wire, strap, mounting or connector may be on every
way. Structure itself and the wire that ends at a battery do not count.

Not covered: the ground of a regulator that stands apart, which is no part of its own; paint under a foot.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    (
        "practice",
        "two straps, and a wire beside the bolted bracket; a loose ground crimp has raised a bus to 15.5 V",
    ),
)
REMEDY = "Run a second wire from the alternator's frame, and a second strap from the engine, each with ends of its own."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    cuts = facts.sources.ground_cuts(subject.pointer)
    if cuts is None:
        raise NotAssessable(f"wires from {name}.ground to a ground block or a battery")
    if cuts:
        named = " and ".join(bare(e) for e in cuts)
        yield Unmet(f"The ground of {name} hangs on {named} alone.", path=cuts)
