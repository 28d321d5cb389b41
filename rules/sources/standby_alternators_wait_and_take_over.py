"""A standby alternator is idle while the main one works, and takes over once that is lost.

Why: a standby machine whose regulator is set above the main one carries the load on every flight.
It wears out as the spare, and its caution light, which is to announce the loss of the main one, is
always on. One that the wiring or the switches keep off line is no standby.

How judged: each alternator that is `standby-for` others. Solved in each flight state in which both
are on line: it delivers no current, unless the other one is at its limit. In the normal state with
all of those others lost: it powers something, at once or after one declared action, and still does
after each action of `load-shedding`.

Not covered: whether it can carry what is left on, which the rules on endurance and loading judge.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "a standby regulator is set below the main one, so that it comes on line by itself"),
)
REMEDY = "Set the standby regulator below the main one by more than the drop between them."
TAKE_OVER = (
    "Give it what it lacks: a way to a bus, the feed of its field, what its regulator senses, a ground for "
    "each. The normal state or a declared action must do so."
)


def subjects(facts: Facts):
    design = facts.design
    standing_by = [n for n in design.of_kind(parts.Alternator) if design.parts[n].standby_for]
    return [f"parts/{n}" for n in standing_by] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    state = facts.sources.never_takes_over(name)
    if state is not None:
        lost = ", ".join(subject.part(facts.design).standby_for)
        yield Unmet(
            f"{name} powers nothing in {state} after the loss of {lost}, and no declared action changes "
            "that.",
            field="standby-for",
            state=state,
            failure=f"{lost} lost",
            hazard=HazardClass.MAJOR,
            remedy=TAKE_OVER,
            extent="after the loss",
        )
        return
    shed = facts.sources.shed_with(name)
    if shed is not None:
        yield Unmet(
            f"Action {shed} of the shed plan takes {name} off line, which stands by for that loss.",
            field="standby-for",
            hazard=HazardClass.MAJOR,
            remedy="Feed its field, or the coil of its relay, from what stays on in the shed plan.",
            elements=(f"operation/actions/{shed}",),
            extent="after the shed plan",
        )
    found = facts.sources.carries_beside(name)
    if found is not None:
        own, others = quantity(found.amperes, "A"), quantity(found.others, "A")
        yield Unmet(
            f"{name} delivers {own} in {found.flown}, while {found.other}, for which it stands by, delivers "
            f"{others}.",
            field="standby-for",
            state=found.flown.state,
            numbers=((name, own), (found.other, others)),
            changes=(f"{subject.pointer}/standby-for", f"{subject.pointer}/set-point"),
            extent="before the loss",
        )
