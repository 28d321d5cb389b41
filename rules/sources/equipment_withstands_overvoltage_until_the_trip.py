"""All equipment withstands alternator overvoltage until the overvoltage protection trips.

Why: a regulator failed full on takes the bus to the trip voltage in any case; what is rated for
less is destroyed even though the trip works.

How judged: in each normal flight phase in which an alternator is on line its regulator is failed
full on. Its current limit holds, and its voltage rises to the trip where the regulator senses; at
the output it is higher by the drop between. Without a trip, or with one that does not stop this
alternator, it rises to what loads and full batteries allow. No load may be exposed to more than its
`maximum`, no coil to more than its `max-coil-voltage`, no capacitor to more than its `voltage`. An
excess up to 0.5 % is within what the stated volts are good for, and is none.

Not covered: the moment until the trip acts; the rating of a load that states none is requested; one
above its rating with nothing failed, which loads-stay-within-their-maximum-voltage reports.
Batteries draw as at their charging voltage. One that boils draws more and holds the voltage lower
for a while, so that what is solved without a trip is the most.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    overvolts,
    quantity,
    remedy,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(c)(5), overvoltage control"),
    ("practice", "the trip is below the rating of the equipment"),
)
REMEDY = "Fit overvoltage protection that trips lower, equipment rated higher, or a suppressor in its supply."


def subjects(facts: Facts):
    working = facts.sources.at_work.items() if facts.design.operation else ()
    return [element for element, states in working if states]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    ceiling = facts.sources.ceiling(subject.pointer)
    already = () if facts.wires.no_sizes else [high.load for high in facts.wires.overvoltage_loads]
    beyond = tuple(b for b in facts.sources.beyond(subject.pointer, ceiling) if b.element not in already)
    if beyond:
        critical = (
            {n for f in facts.states.critical_functions for n in facts.states.loads_of(f)}
            if facts.design.functions
            else set()
        )
        named = [bare(b.element) for b in beyond]
        typical = dict.fromkeys(t for b in beyond for t in b.typical)
        trip, lowest = subject.part(facts.design).overvoltage_trip, min(b.rated for b in beyond)
        idle = isinstance(trip, float) and not ceiling.sensed and trip <= lowest
        yield Unmet(
            f"Overvoltage of {name}, {ceiling.ends}, {overvolts.exposures(beyond)}.",
            field="overvoltage-trip",
            state=beyond[0].state,
            failure="regulator failed full on",
            numbers=(
                ("voltage solved up to", f"{quantity(ceiling.volts, 'V')} ({ceiling.basis})"),
                *overvolts.beside_ratings(beyond),
                *overvolts.held_while(beyond),
                *((("typical values, not from the file", "; ".join(typical)),) if typical else ()),
            ),
            changes=(
                f"{subject.pointer}/{'trip-acts-on' if idle else 'overvoltage-trip'}",
                *(facts.sources.rated_key(b.element) for b in beyond if not beyond[1:]),
            ),
            remedy=remedy.lower_trip(beyond, isinstance(trip, float), idle, facts),
            hazard=HazardClass.HAZARDOUS if critical & set(named) else None,
        )
    unsaid = dict.fromkeys(n for e in facts.sources.exposed(subject.pointer).values() for n in e.unsaid)
    if unsaid:
        raise NotAssessable(f"`maximum` of {' and '.join(unsaid)}")
