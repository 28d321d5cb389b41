"""Where a function hangs on it, the protector nearest to a short opens before the next one up.

Why: a 5 A fuse behind one of 7 A is no protection for what else the 7 A one feeds: either may open first.

How judged: for one short of each zone in every state of normal flight, each protector that carries its current is let be late where the next ones up
do not outlast it. One does that is of the same or a slower kind (fuse, breaker, limiter) and rated 1.5 times as high, and a fuse above a breaker
rated twice as high. Where none of them does and no source stands between, all up to them goes dead; else those that do not open too. A function
that lives where the nearest opens in time must live then as well.

Not covered: the real time curves, and a third protector in the row.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    (
        "practice",
        "the next protector up is as slow and rated 1.5 times as high, a fuse above a breaker twice; the ratios have no source",
    ),
    ("ac-43-13-1b", "11-48, protectors"),
)
REMEDY = "Rate the protector further up as high as the order needs, where its wire allows it, or feed both from the bus."


def subjects(facts: Facts):
    if not facts.design.functions:
        raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
    return (
        [f"parts/{n}" for n in facts.design.of_kind(parts.Protector)] if facts.states.flight_answers() else []
    )


def judge(subject: Subject, facts: Facts):
    late = [one for one in facts.failures.late_protectors if one.protector == subject.pointer and one.lost]
    unrated = [bare(e) for one in late for e in one.unrated]
    known = [one for one in late if not one.unrated]
    if known:
        first = known[0]
        functions = list(dict.fromkeys(f for one in known for f in one.lost))
        lowest = min(first.first, key=lambda e: facts.design.parts[bare(e)].rating)
        order = facts.failures.selectivity(bare(lowest), subject.name)
        ratings = [(bare(e), facts.design.parts[bare(e)].rating) for e in (subject.pointer, *first.first)]
        yield Unmet(
            f"{ratings[0][0]} of {ratings[0][1]:g} A may open after {' and '.join(f'{n} of {r:g} A' for n, r in ratings[1:])}: a short of "
            f"{bare(first.failure.element)} then takes {', '.join(first.lost)}.",
            field="rating",
            state=first.state,
            failure=first.failure.words(facts.network),
            numbers=(
                ("rating of the next one up", f"{min(r for _, r in ratings[1:]):g} A"),
                (
                    "limit",
                    f"{order.wanted * ratings[0][1]:g} A or more"
                    + ("" if order.slow_enough else " of a kind as slow"),
                ),
            ),
            hazard=max(HazardClass.of(facts.design.functions[f].loss) for f in functions),
        )
    elif unrated:
        raise NotAssessable(f"`rating` of {', '.join(dict.fromkeys(unrated))}")
