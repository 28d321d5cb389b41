"""A reserve battery carries what it is kept for during its declared time, though it is aged and cold.

Why: the reserve is what is left when the rest is gone; two small batteries have given half of what was counted on.

How judged: with every alternator and main battery lost, in the state of flight in which it then powers the most, with all that it feeds there and not
only what it is kept for, solved as it runs down. It begins at the charge that its charging voltage in flight gives it. It ends where a load that it
is kept for has less than its minimum, the battery disconnects itself, or it is empty.

Not covered: cold below -10 C; loads that no declared state puts on it (reserves-feed-what-they-are-kept-for looks for those).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, minutes, parts, percent

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "factors of age, cold and rate"), ("peukert", "hour-rate form"))
REMEDY = "Fit a larger reserve, take loads off it, or declare the time that there is."


def subjects(facts: Facts):
    reserves = [n for n in facts.design.of_kind(parts.Battery) if facts.design.parts[n].purpose == "reserve"]
    return [f"parts/{n}" for n in reserves] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    wanted = subject.part(facts.design).endurance
    if wanted is None:
        raise NotAssessable("`endurance`: the time for which it must carry what it is kept for")
    found = facts.endurance.lasting(name)
    if found.seconds >= wanted:
        return
    ends = name if found.found.ended_by == subject.pointer else bare(found.found.ended_by)
    kept = [
        load
        for n in subject.part(facts.design).kept_for
        for load in (facts.states.loads_of(n) if n in facts.design.functions else (n,))
    ]
    engine = any(
        f.loss in ("hazardous", "catastrophic") and set(kept) & set(facts.states.loads_of(n))
        for n, f in facts.design.functions.items()
    )
    yield Unmet(
        f"{name} lasts {minutes(found.seconds)} of the {minutes(wanted)} wanted by itself: then {ends} {found.found.why}.",
        field="endurance",
        state=found.state,
        hazard=HazardClass.HAZARDOUS if engine else None,
        numbers=(
            ("amperes at first", f"{found.found.runs[0].first_a:.1f} A"),
            ("amperes at the end", f"{found.found.runs[-1].last_a:.1f} A"),
            (
                "charge that it begins with",
                f"{percent(found.begins)}, from {found.charging_v:.2f} V across it in flight",
            ),
            *found.factors,
            ("typical values that the solved state rests on", str(len(found.typical))),
        ),
    )
