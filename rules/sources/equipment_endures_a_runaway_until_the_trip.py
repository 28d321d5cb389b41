"""All equipment endures the voltage of an alternator that runs away, until its over-voltage trip acts.

Why: a regulator that fails full on takes the bus to the trip voltage in every case; what endures less is destroyed though the trip works.

How judged: in each phase of normal flight in which an alternator is at work its regulator is taken as full on: its current limit holds, its voltage is free
up to the trip; without a trip, or with one that does not stop this alternator, up to what loads and full batteries take. No load may then have more than
its `maximum`, no coil more than its `coil-most`.

Not covered: the moment until the trip acts; a load that does not say what it endures is asked for. Batteries take current as they do at their charging
voltage, which is less than a boiling one takes.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1351", "(c)(5), over-voltage control"),
    ("practice", "the trip lies below what the equipment endures"),
)
REMEDY = "Fit a trip at a lower voltage, or equipment that endures more, or a suppressor in its supply."


def subjects(facts: Facts):
    return (
        [element for element, states in facts.sources.at_work.items() if states]
        if facts.design.operation
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    ceiling = facts.sources.ceiling(subject.pointer)
    beyond = facts.sources.beyond(subject.pointer, ceiling.volts)
    if beyond:
        critical = (
            {n for f in facts.states.critical_functions for n in facts.states.loads_of(f)}
            if facts.design.functions
            else set()
        )
        named = [bare(b.element) for b in beyond]
        get = "gets more volts than it endures" if len(named) == 1 else "get more volts than they endure"
        typical = dict.fromkeys(t for b in beyond for t in b.typical)
        yield Unmet(
            f"When {name} runs away, {', '.join(named)} {get}, {ceiling.ends}.",
            field="over-voltage-trip",
            state=beyond[0].state,
            failure="regulator full on",
            numbers=(
                ("solved up to", f"{ceiling.volts:g} V ({ceiling.basis})"),
                *((bare(b.element), f"{b.volts:.1f} V, endures {b.endures:g} V") for b in beyond),
                *((("typical, not from the file", "; ".join(typical)),) if typical else ()),
            ),
            hazard=HazardClass.HAZARDOUS if critical & set(named) else None,
        )
    unsaid = dict.fromkeys(n for e in facts.sources.exposed(subject.pointer).values() for n in e.unsaid)
    if unsaid:
        raise NotAssessable(f"`maximum` of {' and '.join(unsaid)}")
