"""In a parked state no drain above 0.1 A flows without an indication.

Why: an ignition or a relay left on with the master off makes no sound, and the battery is flat the
next morning.

How judged: each declared state on the ground with the engine stopped that belongs to no check, and
to a phase only where no switch turns anything more off. In it the battery current is solved, and
whether a lamp or an instrument has power.

Not covered: switches left on in undeclared states; beepers not declared as loads.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, exceeds, practice, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "more than 0.1 A with the master off is indicated"),)
REMEDY = "Add a small pilot lamp to what can be left on, or put it behind the master."
MOST_A = practice("amperes", "load-without-indication").high


def subjects(facts: Facts):
    return (
        [f"operation/states/{s}" for s in facts.endurance.unattended_states()]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    state = subject.name
    if facts.endurance.indications_left_on(state):
        return
    drains = facts.endurance.parasitic_drains(state)
    amps = sum(d.solved for d in drains)
    if exceeds(amps, MOST_A):
        found = [w for d in drains for w in d.draws if w.by_load]
        draws = dict.fromkeys(w.what for w in found)
        yield Unmet(
            f"Drain of {quantity(amps, 'A', MOST_A)} in {state} without a lamp or display to "
            f"indicate it; limit {quantity(MOST_A, 'A')}.",
            state=state,
            elements=tuple(dict.fromkeys(w.element for w in found)),
            numbers=(
                ("current", quantity(amps, "A", MOST_A)),
                ("limit", f"{quantity(MOST_A, 'A')}, common practice (no published source)"),
                ("drain", "; ".join(draws)),
            ),
        )
