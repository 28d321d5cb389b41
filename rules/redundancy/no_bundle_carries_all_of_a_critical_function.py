"""No wire bundle carries so many channels of a critical function that cutting it loses the function.

Why: a loose panel, a hot pipe or a seat rail cuts all wires of a bundle at one place.

How judged: in every state of normal flight each bundle of two or more wires is severed. A wire of 0.3 m (1 ft) or less does not count: a short common
run at a shared device cannot be helped. A wire without a length counts as long. As many channels must live as the function needs; what a declared
action restores is told by a rule of its own.

Not covered: bundles that touch each other, and parts of a zone that burn together.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.CATASTROPHIC
CITATIONS = (
    ("practice", "redundant channels take separate routes; a common run of 1 ft is accepted"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = "Route one channel in a bundle of its own, on the other side."


def subjects(facts: Facts):
    if not facts.states.critical_functions or not facts.states.flight_answers():
        return []
    if not facts.network.bundles and facts.design.aircraft.stage != "concept":
        raise NotAssessable("`bundle` of the wires")
    return [f"bundles/{name}" for name in facts.network.bundles]


def judge(subject: Subject, facts: Facts):
    points = facts.failures.cut_bundles.get(subject.pointer, ())
    if points:
        first = points[0]
        functions = ", ".join(dict.fromkeys(p.function for p in points))
        yield Unmet(
            f"Bundle {subject.name} carries too much of {functions}: when it is severed, {', '.join(first.lost)} stop working,"
            " and no declared action restores it.",
            state=first.state,
            failure="severed",
            numbers=(
                (
                    "wires in it",
                    ", ".join(bare(w) for w in facts.network.bundles[subject.name]),
                ),
            ),
            hazard=max(p.hazard for p in points),
        )
