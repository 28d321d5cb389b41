"""Circuit protection is selective where a function depends on it: the nearest device opens first.

Why: with a 5 A fuse behind a 7 A fuse either may open first, and the 7 A fuse has other loads.

How judged: a short in each fault zone is tried in every normal flight state. Each device that
carries the fault current is taken as late if one further upstream is selective neither with it nor
with those between. An upstream device is selective if of the same or a slower kind (fuse, breaker,
current limiter) and rated 1.5 times as high, a fuse above a breaker twice. Alternators alone that
deliver no more than its rating do not open it. Where batteries alone supply the short by several
feeds in parallel, each feed counts with its solved share of the current, if every one is then
selective. With no source between, all up to the upstream devices is dead; else what stays closed is
dead too. A function that survives if the nearest opens first must survive the other way too.

Not covered: time-current curves; a weak battery beside others.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    bare,
    make_selective,
    parts,
    path_of_short,
    quantity,
    rated,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "lost at one failure"
CITATIONS = (("practice", "as slow and rated 1.5 times as high, a fuse above a breaker twice"),)
REMEDY = "Fit a larger upstream device and wire so that the nearest opens first, or feed both from the bus."


def subjects(facts: Facts):
    if not facts.design.functions:
        raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
    names = facts.design.of_kind(parts.Protector) if facts.states.flight_answers() else ()
    return [f"parts/{n}" for n in names]


def judge(subject: Subject, facts: Facts):
    late = [
        one for one in facts.failures.selectivity_failures if one.protector == subject.pointer and one.lost
    ]
    unrated = [bare(e) for one in late for e in one.unrated]
    known = [one for one in late if not one.unrated]
    if known:
        classes = {name: HazardClass.of(f.loss) for name, f in facts.design.functions.items()}
        first = max(known, key=lambda one: max(classes[f] for f in one.lost))
        short, own = first.failure, first.first[1:] and (subject.pointer,)  # none of several does it alone
        lowest = min(first.first, key=lambda e: facts.design.parts[bare(e)].rating)
        order = facts.failures.selectivity(bare(lowest), subject.name)
        ratings = [(bare(e), facts.design.parts[bare(e)].rating) for e in (subject.pointer, *first.first)]
        upstream = and_list(rated(bare(e), facts.design.parts[bare(e)]) for e in first.first)
        wanted = f"{quantity(order.wanted * ratings[0][1], 'A')} or more"
        wanted += "" if order.slow_enough else " of the same or a slower kind"
        tied = facts.paths.tie_through(first.state, (first.protector, *first.first))
        yield Unmet(
            f"Protection not selective: {upstream} may open before "
            f"{rated(subject.name, subject.part(facts.design))}; required {wanted}."
            f" A short at {bare(short.element)} then causes loss of {', '.join(first.lost)}.",
            field="rating",
            state=first.state,
            failure=short.words(facts.network),
            path=path_of_short(first, facts),
            numbers=(
                ("rating upstream", ", ".join(f"{n} {quantity(rating, 'A')}" for n, rating in ratings[1:])),
                ("limit", wanted),
            ),
            elements=first.first,
            functions=first.lost,
            changes=tied.apart if tied else tuple(f"{e}/rating" for e in (*own, *first.first)),
            hazard=max(classes[f] for f in first.lost),
            remedy=make_selective(first, tied, facts),
        )
    elif unrated:
        raise NotAssessable(f"`rating` of {', '.join(dict.fromkeys(unrated))}")
