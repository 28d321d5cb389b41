"""A function whose loss is major has a second feed that shares no part with the first, up to its own branch.

Why: with one bus the radio, the engine display and the trim all go at once.

How judged: each single failure in every state of normal flight that takes a function of class major together with something that is not its own: a bus,
a source, or a load of something else. What takes only the loads of the function, such as its own breaker, is its own branch. A declared action
that brings the function back counts as a second feed.

Not covered: a handheld radio and the like; concede the finding, or class the function minor.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (("cfr-23-2525", "(b), no single failure of a supply or distribution system"),)
REMEDY = "Add a second feed by a diode, a relay or a switch from another source or bus, and a second return where it is the return that fails."


def subjects(facts: Facts):
    return [f"functions/{f}" for f in facts.failures.major_functions] if facts.states.flight_answers() else []


def judge(subject: Subject, facts: Facts):
    function = subject.name
    for shared in facts.failures.shared_feeds(function):
        left = {
            f: taken
            for f, taken in shared.failures.items()
            if not facts.crew.recoveries(function, shared.state, f)
        }
        if not left:
            continue
        first, taken = next(iter(left.items()))
        elements = list(dict.fromkeys(bare(f.element) for f in left))
        with_it = [bare(e) for e in taken]
        yield Unmet(
            f"{function} has no second feed: {elements[0]} alone takes it, and {', '.join(with_it[:3])}{' and more' if with_it[3:] else ''} with it.",
            state=shared.state,
            failure=first.words(facts.network),
            numbers=(("taken by any of", ", ".join(elements)),),
        )
        return
