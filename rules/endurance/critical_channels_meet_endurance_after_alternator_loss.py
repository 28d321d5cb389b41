"""Channels of a critical function meet the declared endurance after loss of all generation.

Why: a reserve sized for its own time starts to discharge at the loss of the alternator, together
with the main battery. Once it is discharged its channels are dead, and the rest of the flight
depends on the others.

How judged: each load of a function of hazardous or catastrophic loss that has no power once a
battery other than the main one is discharged. It is not judged if a declared action then powers it
again. From loss of all generation in the normal state all batteries are followed together, through
the shed plan where an alarm shows the loss. The load must not stop before the declared endurance,
unless it is turned off. Hazardous where a function is lost by then too. A reserve that does not
last its own declared time is reported by reserve-batteries-meet-their-required-endurance.

Not covered: what only two actions or more power again; what the normal state has off, on purpose or
until a sensor moves; cold below -10 C without `cold-capacity`.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, few, minutes, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (
    ("practice", "30 to 60 minutes, recognition included; factors for age, cold and rate"),
    ("peukert", "hour-rate form, discharge time"),
)
REMEDY = "Fit a larger reserve, let the main battery power its channels too, or shed what it feeds."


def subjects(facts: Facts):
    if not (facts.design.of_kind(parts.Alternator) and facts.states.declared):
        return []
    needed = {n for f in _functions(facts) for n in facts.states.loads_of(f)}
    alone = facts.endurance.loads_on_a_reserve if needed else {}
    return [f"parts/{b}" for b in dict.fromkeys(b for n, b in alone.items() if n in needed)]


def judge(subject: Subject, facts: Facts):
    wanted = facts.states.operation.endurance
    if wanted is None:
        raise NotAssessable("`endurance` of the operation: the time required after loss of the alternator")
    alone = facts.endurance.loads_on_a_reserve
    each = [facts.detection.function_endurance(f) for f in _functions(facts)]
    early = [
        (seconds, load, one)
        for one in each
        for load, seconds in one.stops.items()
        if alone.get(load) == subject.name and exceeds(wanted, seconds)
    ]
    if not early or _short(subject, facts):
        return
    seconds, _, first = min(early, key=lambda stop: stop[0])
    channels = dict.fromkeys(f"{load} of {one.function}" for _, load, one in early)
    yield Unmet(
        f"After loss of {' and '.join(first.lost)}, {subject.name} powers {few(list(channels))} for "
        f"{minutes(seconds, wanted)} only; required {minutes(wanted, seconds)}.",
        field="capacity",
        state=first.state,
        hazard=HazardClass.HAZARDOUS if any(exceeds(wanted, one.seconds) for _, _, one in early) else None,
        numbers=(
            *((f"{load} stops after", minutes(at, wanted)) for at, load, _ in early),
            *((f"{one.function} lost after", minutes(one.seconds, wanted)) for one in each if one.stops),
        ),
    )


def _short(subject: Subject, facts: Facts) -> bool:
    """Whether the reserve does not last its own declared time."""
    declared = subject.part(facts.design).endurance
    try:
        return declared is not None and facts.endurance.endurance_of(subject.name).seconds < declared
    except NotAssessable:
        return False


def _functions(facts: Facts) -> list[str]:
    critical = facts.states.critical_functions
    return [f for f in facts.endurance.watched_functions if f in critical]
