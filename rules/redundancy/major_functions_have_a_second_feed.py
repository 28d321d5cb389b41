"""Functions of class major are not lost together, and redundant channels have separate feeds.

Why: with one bus the radio, the engine display and the trim are all lost at once. One such function
alone may depend on one feed, as it may on one unit.

How judged: each single failure, relays with stuck contacts included, in every normal flight state.
A finding is one that loses a function of class major together with a bus, a source, or a load of
another function. A function without a redundant channel counts only if another function of major
or worse loss is lost too. So does a bus or source lost together with a unit that shows monitors. A
load left with less than its minimum voltage is lost too. A failure that affects only the
function's own loads, such as its own breaker, is accepted as its own branch. A declared action
that recovers the function, whichever protective device opens first, counts as a second feed. A
function that is a channel of another of major or worse loss, which works without it, is judged
with that one: the other channels are its redundancy.

Not covered: a handheld radio: accept the finding by a concession, or class the function minor.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    Subject,
    Unmet,
    bare,
    failed_words,
    feed_or_ground,
    few,
    parts,
    quantity,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "not there when wanted"
CITATIONS = (("cfr-23-2525", "(b), no single failure of a supply or distribution system"),)
REMEDY = "Add a second feed by diode, relay or switch from another source, or a second return where it fails."


def subjects(facts: Facts):
    return [f"functions/{f}" for f in facts.failures.major_functions] if facts.states.flight_answers() else []


def judge(subject: Subject, facts: Facts):
    name, loads = subject.name, facts.states.loads_of(subject.name)
    for shared in facts.failures.shared_feeds(name):
        kept = {f: t for f, t in shared.failures.items() if not facts.crew.recoveries(name, shared.state, f)}
        left = {f: t for f, t in kept.items() if _asked(shared, f, t, facts)}
        if not left:
            continue
        first, taken = next(iter(left.items()))
        elements = list(dict.fromkeys(bare(f.element) for f in left))
        grave = shared.functions[first]
        with_it = [bare(e) for e in taken if e != first.element] or [elements[0]]
        yield Unmet(
            f"{failed_words(first.element)} causes loss of {name} and of {few(with_it)}: no "
            "independent second feed.",
            state=shared.state,
            failure=f"{bare(first.element)} {first.words(facts.network)}",
            path=facts.states.circuit_path(shared.state, [f"parts/{n}" for n in loads], first.element),
            numbers=(
                ("lost with it", ", ".join(with_it)),
                *((("functions lost with it", ", ".join(grave)),) if grave else ()),
                ("lost by failure of any of", ", ".join(elements)),
                *(
                    (f"voltage at {load}", f"{quantity(volts, 'V', least)}, minimum {quantity(least, 'V')}")
                    for load, volts, least in facts.failures.low_after(name, shared.state, first)
                ),
            ),
            lost=tuple(map(bare, taken)),
            changes=feed_or_ground(name, loads, shared.state, [f.element for f in left], facts),
        )
        return


def _asked(shared, failure, taken, facts: Facts) -> bool:
    """Whether a loss together with others asks for a second feed."""
    units = facts.states.units_of(shared.function)
    watches = any(m.displayed_on in units for m in facts.design.watch.monitors.values())
    dead = [facts.design.parts[bare(e)] for e in taken if e.startswith("parts/")]
    blind = watches and any(isinstance(part, (parts.Bus, *parts.SOURCES)) for part in dead)
    others = shared.functions[failure]
    return shared.spare or blind or any(not facts.crew.recoveries(n, shared.state, failure) for n in others)
