"""A relay that restores a bus picks up with the normal feed of the bus lost.

Why: an emergency relay with its coil on the bus that it must restore works on every test but the
real one.

How judged: a relay de-energised in the normal state and commanded in another flight state. Each
single failure that loses a bus, or a channel of a function, in the normal state is set in the other
state, from cold; if the relay's contacts, held closed, restore it and held open do not, the relay
must pick up by itself. The source side of a contact is the battery's own bus, fed by wires and
circuit protection alone, and the relay is not asked to restore that side: a coil on it is right.

Not covered: a relay that feeds a battery's own bus from elsewhere, pickup voltage, and states that
are not declared. Dropout by a coil failure and its
effect are among the single failures of other rules.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "the coil of an emergency relay is fed from its source side"),
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
                f"{subject.name} does not pick up to restore {', '.join(first)} after failure of "
                f"{bare(failure.element)}.",
                state=relay.state,
                failure=f"{bare(failure.element)} {failure.words(facts.network)}",
                numbers=(("not restored", ", ".join(back)),)
                + ((("nor after failure of", ", ".join(others)),) if others else ()),
            )
            return
