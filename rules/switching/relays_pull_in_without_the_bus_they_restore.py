"""A relay that restores a bus pulls in when the normal feed of the bus is gone.

Why: an emergency relay whose coil hangs on the bus that it is to bring back works on every test but the real one.

How judged: a relay at rest in the dispatch state that is commanded in another state set in flight. Each single failure that takes a bus, or a channel
of a function, in the dispatch state is set in the other state, from cold; where that lives with the contacts of the relay closed and not with them
open, the relay must pull in by itself.

Not covered: pull-in voltage, and states that are not declared. That a relay drops out by a failure of its coil, and what that takes, is among the
single failures of other rules.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "the coil of an emergency relay is fed from the side of its source"),
    ("ntsb", "DEN05LA123, a coil fault dropped the bus"),
)
REMEDY = "Feed the coil from the source that the relay connects."


def subjects(facts: Facts):
    return [r.relay for r in facts.switches.restoring_relays] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    for relay in facts.switches.restoring_relays:
        if relay.relay == subject.pointer and relay.needs:
            failure, first = relay.needs[0]
            back = list(dict.fromkeys(name for _, names in relay.needs for name in names))
            others = list(
                dict.fromkeys(bare(f.element) for f, _ in relay.needs[1:] if f.element != failure.element)
            )
            yield Unmet(
                f"{subject.name} does not pull in to restore {', '.join(first)} when {bare(failure.element)} fails.",
                state=relay.state,
                failure=failure.words(facts.network),
                numbers=(("does not restore", ", ".join(back)),)
                + ((("nor when these fail", ", ".join(others)),) if others else ()),
            )
            return
