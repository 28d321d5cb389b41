"""No small protector of a coil or field takes a bus that it does not feed.

Why: a 5 A fuse opened, the relay behind it dropped, and both ignitions went with the bus.

How judged: in every state of normal flight each breaker, fuse and limiter is opened. Where a bus goes dead, or is left to an alternator alone, though
with the relays as they were it is still fed by another way, the protector must be rated above 5 A. It is hazardous where a function goes with the
bus whose loss is hazardous or worse.

Not covered: a protector above 5 A, and what a lamp on the same protector would show.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ntsb", "DEN05LA123, a 5 A fuse opened and the master relay dropped"),
    ("practice", "5 A and less is taken for a control circuit"),
)
REMEDY = (
    "Feed the coil from the contactor's own battery terminal and switch it to ground, or use a break contact."
)
SMALL = 5.0


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind(parts.Protector)] if facts.states.flight_answers() else []
    )


def judge(subject: Subject, facts: Facts):
    found = [c for c in facts.switches.control_protectors if c.protector == subject.pointer]
    if not found:
        return
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(
            f"`rating` of {subject.name}, which takes {', '.join(found[0].buses)} with a coil or field"
        )
    if rating > SMALL:
        return
    first = found[0]
    names = [bare(e) for e in first.drops]
    what = (
        f"leaves {', '.join(first.alone)} to the alternator alone"
        if first.alone == first.buses
        else f"takes {', '.join(first.buses)}"
    )
    worst = max(
        [HAZARD, *(HazardClass.of(facts.design.functions[f].loss) for c in found for f in c.functions)]
    )
    yield Unmet(
        f"{subject.name} of {rating:g} A {what} when it opens, though it only serves {' and '.join(names) or 'a control circuit'}.",
        field="rating",
        state=first.state,
        failure="open",
        numbers=(("rating", f"{rating:g} A"), ("limit", f"above {SMALL:g} A"))
        + ((("lost with it", ", ".join(first.functions)),) if first.functions else ()),
        hazard=min(worst, HazardClass.HAZARDOUS),
    )
