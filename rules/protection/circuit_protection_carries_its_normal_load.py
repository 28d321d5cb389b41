"""No breaker, fuse or current limiter opens under normal load.

Why: a 5 A fuse on four injectors of 1.25 A each opened in cruise and stopped the engine.

How judged: the current of each breaker, fuse and current limiter, feeders included, is solved in
every declared state with the loads of each phase. So it is in the normal state with a switch that
changes a critical function over at each position that no flight or abnormal state sets. Without the
loads of intermittent `duty` it is at most 80 % of the rating. With them, while the engine cranks,
and in a phase of at most 5 min, it is at most the rating. With one load at its peak that it feeds
directly, with no bus between: twice the rating. That is in the states with the load on, in all if
it is on in none. With all such instruments at their peak at once, as a radio that transmits: the
rating. Where the states cannot be solved yet, stated currents that pass the rating by themselves
are a finding. Hazardous if a load of a critical function is lost with it. A device that carries as
much or more when it alone feeds a diode-OR bus is reported for that
(each-diode-or-feed-carries-its-bus-alone).

Not covered: momentary inrush (`peak` is what lasts longer), and the time-current curves between
these two.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    by_contactor,
    exceeds,
    made_words,
    parts,
    quantity,
    rated,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "not there when wanted"
CITATIONS = (
    ("ac-43-13-1b", "11-48, circuit protection opens before the cumulative load of its wire is exceeded"),
    ("practice", "80 % of the rating, continuous; twice the rating, momentary"),
    ("practice", "a load that is on for more than 5 min is continuous"),
)
REMEDY = "Fit a larger breaker or fuse with the wire for it, or divide or shed the load."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Protector)
    return [f"parts/{n}" for n in names] if names and facts.protection.loads_known else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(f"`rating` of {name}")
    for carried_at in (facts.protection.worst_continuous, facts.protection.worst_peak):
        carried = carried_at(name, rating)
        if carried is not None and exceeds(carried.amps, carried.most):
            alone = [b.amps for b in facts.protection.sole_branches.get(name, ()) if b.over(rating)]
            if any(not exceeds(carried.amps, amps) for amps in alone):
                return
            how = f" at the peak of {carried.load}" if carried.load else ""
            at, least = carried.where.state, made_words("amperes", rating * carried.amps / carried.most)
            yield Unmet(
                f"{rated(name, subject.part(facts.design))} carries "
                f"{quantity(carried.amps, 'A', carried.most)} in "
                f"{carried.where.words}{how}; limit {quantity(carried.most, 'A', carried.amps)}.",
                field="rating",
                state=at,
                elements=facts.states.path_to(at, subject.pointer) if at else (),
                switches=carried.where.moved,
                numbers=(
                    ("current", f"{quantity(carried.amps, 'A', carried.most)}{how}"),
                    ("limit", quantity(carried.most, "A")),
                    *((("left out, intermittent", ", ".join(carried.without)),) if carried.without else ()),
                ),
                remedy=by_contactor(at, subject.pointer, facts)
                or f"Fit {name} of {least} or more, with wire for it, or divide or shed the load.",
                hazard=HazardClass.HAZARDOUS if facts.protection.takes_critical_loads(name) else HAZARD,
            )
            return
