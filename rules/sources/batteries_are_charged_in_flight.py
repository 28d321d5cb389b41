"""Every battery that something depends on is charged in flight.

Why: a reserve with its charging line left off discharges a little at each use and by itself, and is
flat when it is the last source. External power charges it at home only, before some flights.

How judged: in a normal flight state an alternator or a charger, itself or by a converter, must feed
its positive terminal and receive its negative. Judged is each battery that is dedicated to a load
or powers one in such a state. Charging from external power on the ground does not count. In an
aircraft that has chargers and no alternator a charger may do it in any declared state.

Not covered: the charging voltage (batteries-charge-at-their-specified-voltage); a charger that is
not drawn; an aircraft with neither drawn, whose batteries are charged out of it.
"""

from reviewer.rulebook import (
    A_STATE,
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    bare,
    parts,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a charging line from the main bus to the reserve, through its own diode"),)
REMEDY = (
    "Draw a charging line from a bus that an alternator feeds to the battery's positive terminal, and "
    "a return from its negative."
)
REMEDY_OF_IDLE = (
    "Give the alternator what it lacks: the feed of its field or control, a ground for it and its "
    "regulator, what the regulator senses."
)
REMEDY_ON_GROUND = (
    "Draw a charging line from a charger to the battery's positive terminal, a return from its "
    "negative, and list the charger in the state in which it works."
)


def subjects(facts: Facts):
    drawn = facts.design.of_kind((parts.Alternator, parts.Charger)) and facts.states.declared
    return list(facts.sources.depended_on) if drawn else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if not facts.design.of_kind(parts.Alternator):
        if subject.pointer not in facts.sources.charged:
            yield Unmet(f"No charger charges {name} in any declared state.", remedy=REMEDY_ON_GROUND)
        return
    if facts.sources.charged_in_flight(subject.pointer):
        return
    if not any(a.state.engine == "running" for a in facts.states.flight_answers()):
        raise NotAssessable("a state of normal flight with `engine: running`", A_STATE)
    feeding = [bare(a) for a in facts.sources.without_charging_return(subject.pointer)]
    one = len(feeding) == 1
    feed, it = ("feeds", "it") if one else ("feed", "them")
    why = f": {and_list(feeding)} {feed} its positive terminal, and its negative has no return to {it}"
    first = facts.states.flight_answers()[0]
    lacking = facts.sources.unexcited(first)
    idle = [bare(change.rpartition("/")[0]) for change in lacking]
    all_idle = len(idle) == len(facts.design.of_kind(parts.Alternator))
    if all_idle and not feeding:
        why = f": {and_list(idle)} {'give' if idle[1:] else 'gives'} no current in {first.state.name}"
    yield Unmet(
        f"{name} is charged in no declared flight state{why if feeding or all_idle else ''}.",
        changes=lacking,
        remedy=REMEDY_OF_IDLE if all_idle else "",
        numbers=(("positive terminal fed by", ", ".join(feeding)),) if feeding else (),
    )
