"""A relay that a state does not energise drops out when that state is set, whatever came before.

Why: a backfed bus can hold its own contactor energised, so that the master switch no longer
disconnects the battery.

How judged: each declared state is set after each other one, with no failure: relays and alternators
start as they were. A relay that is de-energised in the state from cold must be so then. A relay
that is meant to latch is reported too: what is powered then depends on the state before.

Not covered: dropout voltage, leakage through a load, and states that are not declared.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "the coil of a battery contactor is fed from the battery side and switched to ground"),
    ("cfr-23-1361", "(a), disconnecting the sources"),
)
REMEDY = "Feed the coil from the battery side of the contacts and switch its other end to ground."


def subjects(facts: Facts):
    return [c.element for c in facts.network.coils] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    held = [h for h in facts.switches.relays_held_energised if h.relay == subject.pointer]
    if held:
        first = held[0]
        also = [f"{h.state} after {h.after}" for h in held[1:]]
        yield Unmet(
            f"{subject.name} does not drop out when {first.state} is set after {first.after}: "
            f"{bare(first.source)} keeps its coil energised.",
            state=first.state,
            path=first.path,
            numbers=(("also in", ", ".join(also)),) if also else (),
        )
