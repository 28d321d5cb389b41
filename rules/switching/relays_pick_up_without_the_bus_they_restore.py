"""A relay that restores a bus picks up with the normal feed of the bus lost.

Why: an emergency relay with its coil on the bus that it must restore works on every test but the
real one.

How judged: a relay de-energised in the normal state and commanded in another flight state, or in
the normal state with one switch moved. Each single failure that loses a bus, or a channel of a
function, in the normal state is set there, from cold. If the relay's contacts, held closed, restore
it and held open do not, the relay must pick up by itself. What only an alternator with its field on
that bus keeps alive counts as lost too: it may drop off the line. The source side of a contact is
the battery's own bus, fed by wires and circuit protection alone. The relay is not asked to restore
that side, and a coil on it is right.

Not covered: a relay that feeds a battery's own bus from elsewhere, pickup voltage, and a relay that
two switches moved at once command. Dropout by a coil failure and its effect are among the single
failures of other rules.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, miswired

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
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
            first = min(relay.needs, key=lambda need: not need.lost)
            back = list(dict.fromkeys(name for need in relay.needs for name in need.names))
            others = list(
                dict.fromkeys(
                    bare(need.failure.element)
                    for need in relay.needs
                    if need.failure.element != first.failure.element
                )
            )
            moved = f" with {relay.moved[0]} at {relay.moved[1]}" if relay.moved else ""
            alone = "" if first.lost else ", once no alternator holds it up"
            yield Unmet(
                f"{miswired(facts, subject.pointer)}{subject.name} does not pick up{moved} to restore "
                f"{', '.join(first.names)} after failure of {bare(first.failure.element)}{alone}.",
                state=relay.state,
                path=facts.states.path_to(relay.state, subject.pointer, first.failure.element),
                failure=f"{bare(first.failure.element)} {first.failure.words(facts.network)}",
                numbers=(("not restored", ", ".join(back)),)
                + ((("nor after failure of", ", ".join(others)),) if others else ()),
                changes=(f"{subject.pointer}/return",) if first.unreturned else (),
                remedy=f"Return the coil to the negative of {bare(first.unreturned)} by a path without "
                f"{bare(first.failure.element)}: {bare(first.unreturned)} still feeds it."
                if first.unreturned
                else "",
            )
            return
