"""A reserve battery carries its dedicated loads for its declared time, aged and cold.

Why: two small batteries, the only source left in flight, delivered half of the capacity counted on.

How judged: with every alternator and main battery lost, in the flight state in which it then powers
the most, solved as it discharges. It feeds all that is on there, not only its dedicated loads. A
state of phases of at most 5 min comes before, for as long as these last. It begins at the charge
reached at its charging voltage in flight, less what it delivers in the phases of normal flight
where nothing charges it. It ends where a dedicated load has less than its minimum, the battery
disconnects itself, or it is empty.

Not covered: cold below -10 C without `cold-capacity`; loads that no declared state puts on it
(another rule covers those).
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    exceeds,
    minutes,
    parts,
    percent,
    practice,
    quantity,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "runs short"
CITATIONS = (("practice", "factors for age, cold and rate"), ("peukert", "hour-rate form, discharge time"))
REMEDY = "Fit a larger reserve, or remove loads from it."
USEFUL_S = 60 * practice("minutes", "endurance-on-battery").low


def subjects(facts: Facts):
    reserves = [n for n in facts.design.of_kind(parts.Battery) if facts.design.parts[n].purpose == "reserve"]
    return [f"parts/{n}" for n in reserves] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name, wanted = subject.name, subject.part(facts.design).endurance
    if wanted is None:
        raise NotAssessable("`endurance`: the time for which it must carry its dedicated loads")
    found = facts.endurance.endurance_of(name)
    if not exceeds(wanted, found.seconds):
        return
    ends = bare(found.found.ended_by)
    given = subject.part(facts.design).dedicated_to
    kept = {u for n in given for u in (facts.states.loads_of(n) if n in facts.design.functions else (n,))}
    engine = any(
        f.loss in ("hazardous", "catastrophic") and kept & set(facts.states.loads_of(n))
        for n, f in facts.design.functions.items()
    )
    charge = f"{percent(found.begins)}, {quantity(found.charging_v, 'V')} in flight before it"
    yield Unmet(
        f"Endurance on {name} alone {minutes(found.seconds, wanted)}; required "
        f"{minutes(wanted, found.seconds)}. Then {ends} {found.found.why}.",
        field="endurance",
        state=found.state,
        elements=next((f.path for f in facts.paths.beyond_purpose(name)), ()),
        hazard=HazardClass.HAZARDOUS if engine else None,
        numbers=(
            ("endurance", minutes(found.seconds, wanted)),
            ("initial current", quantity(found.found.runs[0].first_a, "A")),
            ("current at the end", quantity(found.found.runs[-1].last_a, "A")),
            ("ended by", ends),
            ("initial state of charge", charge),
            *found.factors,
            ("typical values used in the solved state", str(len(found.typical))),
        ),
        remedy=_remedy(found.seconds, ends, ends != name),
    )


def _remedy(seconds: float, ends: str, starved: bool) -> str:
    if seconds < 1 and starved:
        return f"Reduce the voltage drop to {ends}, or fit a battery of lower internal resistance."
    return REMEDY + (" Or declare the time available." if seconds >= USEFUL_S else "")
