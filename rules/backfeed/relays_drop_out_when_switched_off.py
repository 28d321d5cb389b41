"""A relay that a state does not energise drops out when that state is set, whatever was set before.

Why: a bus that is fed from behind can hold its own contactor in, so that the master switch no longer disconnects the battery.

How judged: each declared state is set after each other one, with nothing failed: relays and alternators start as they were. A relay that is not
energised in the state from cold must not be so then. A relay that is meant to hold itself is told of too: what lives then hangs on what was set before.

Not covered: drop-out voltage, current that leaks back through a load, and states that are not declared.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "the coil of a battery contactor hangs on the battery's side and is switched to ground"),
    ("cfr-23-1361", "(a), disconnecting the sources"),
)
REMEDY = "Feed the coil from the battery's side of the contacts and switch its other end to ground."


def subjects(facts: Facts):
    return [c.element for c in facts.network.coils] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    held = [h for h in facts.switches.held_relays if h.relay == subject.pointer]
    if held:
        first = held[0]
        also = [f"{h.state} after {h.after}" for h in held[1:]]
        yield Unmet(
            f"{subject.name} stays in when {first.state} is set after {first.after}: {bare(first.source)} holds its coil.",
            state=first.state,
            path=first.path,
            numbers=(("also in", ", ".join(also)),) if also else (),
        )
