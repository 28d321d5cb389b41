"""A critical function lost to a single failure is recovered within three moves and ten seconds.

Why: an engine that has stopped at low height leaves no time for a page of the checklist.

How judged: every single failure in normal flight that loses a function of hazardous or catastrophic
loss and that declared actions recover, whichever protective device opens first. At least one of the
shortest recoveries must take no more than three moves and, by the declared times of its actions,
ten seconds. Not judged: a failure after which batteries inside units keep the function on for the
`recognition-time` of the operation and the time of the moves.

Not covered: times that were not measured, and failures that no declared action recovers.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    feeds,
    practice,
    quantity,
)

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "three moves and ten seconds at most"),
    ("ntsb", "ANC19LA036, the alternate bus was never selected"),
)
REMEDY = "Make the change-over automatic, or do all of it by one switch."
MOVES = int(practice("counts", "crew-moves-to-recover").high)
SECONDS = practice("seconds", "recovery-of-a-critical-function").high


def subjects(facts: Facts):
    if not facts.states.critical_functions:
        return []
    functions = {p.function for points in facts.failures.recoverable_points.values() for p in points}
    return [f"functions/{f}" for f in facts.states.critical_functions if f in functions]


def judge(subject: Subject, facts: Facts):
    function = subject.name
    untimed: dict[str, None] = {}
    for point in [
        p for points in facts.failures.recoverable_points.values() for p in points if p.function == function
    ]:
        for failure in point.failures:
            ways = facts.crew.recoveries(function, point.state, failure)
            short = [w for w in ways if len(w.moves) <= MOVES]
            if any(w.seconds is not None and w.seconds <= SECONDS for w in short):
                continue
            if any(w.seconds is None for w in short):
                untimed.update(dict.fromkeys(name for w in short for name in w.untimed))
                continue
            best = (short or ways)[0]
            what = quantity(best.seconds or 0.0, "s", SECONDS) if short else f"{len(best.moves)} moves"
            allowed = quantity(SECONDS, "s") if short else f"{MOVES} moves"
            yield Unmet(
                f"Recovery of {function} after failure of {bare(point.element)}: {what}; limit {allowed}.",
                state=point.state,
                failure=f"{bare(point.element)} {point.modes[0]}",
                numbers=(
                    ("moves", str(len(best.moves))),
                    ("limit", str(MOVES)),
                    ("time", "not stated" if best.seconds is None else quantity(best.seconds, "s")),
                    ("limit", quantity(SECONDS, "s")),
                    ("actions", ", ".join(best.actions)),
                ),
                elements=(point.element,) if "/" in point.element else (),
                lost=point.lost,
                changes=feeds(facts.design, [function], point.lost, point.element),
            )
            return
    if untimed:
        raise NotAssessable(f"`time` of action {', '.join(untimed)}")
