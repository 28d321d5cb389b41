"""No protector opens under the normal load.

Why: a 5 A fuse on four injectors of 1.25 A each opened in cruise and stopped the engine.

How judged: the solved current of each breaker, fuse and limiter, feeders included, in every declared state with the loads of each phase, and in each
undeclared position of a switch that changes a critical function over: 80 % of the rating at most, all of it while the engine cranks. With one load
between it and the next bar at its peak, twice the rating. It is hazardous where a load of a critical function goes with the protector.

Not covered: surges of a moment (`peak` is what lasts longer), and the time curves between these two.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-48, a protector opens before the cumulative load of its wire is exceeded"),
    ("practice", "80 % of the rating on and on, twice the rating for a moment; no source"),
)
REMEDY = "Fit a larger protector and the wire that it needs, or divide or shed the load."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Protector)
    return [f"parts/{n}" for n in names] if names and facts.protection.solved_places else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(f"`rating` of {name}")
    worst = facts.protection.worst_carried(name, rating)
    peak = facts.protection.worst_peak(name, rating)
    for carried in (worst, peak):
        if carried is not None and carried.amps > carried.most * (1 + 1e-9):
            how = f" while {carried.load} takes its peak" if carried.load else ""
            yield Unmet(
                f"{name} of {rating:g} A carries {carried.amps:.3g} A in {carried.where.words}{how}.",
                field="rating",
                state=carried.where.state,
                switches=carried.where.moved,
                numbers=(("current", f"{carried.amps:.3g} A"), ("limit", f"{carried.most:.3g} A")),
                hazard=HazardClass.HAZARDOUS if facts.protection.takes_critical_loads(name) else HAZARD,
            )
            return
