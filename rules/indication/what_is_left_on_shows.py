"""In a state in which the aircraft is left, more than 0.1 A does not flow without a lamp or display that shows it.

Why: an ignition or a relay that was left on with the master off makes no sound, and the battery is flat the next morning.

How judged: each declared state on the ground with the engine stopped that belongs to no check and no phase: what the batteries give as solved, and
whether a lamp or an instrument has power.

Not covered: switches left on in states that nobody declared; beepers that are not declared as loads.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "more than 0.1 A with the master off is shown"),)
REMEDY = "Add a small pilot lamp to what can be left on, or put it behind the master."
MOST_A = 0.1


def subjects(facts: Facts):
    return [f"operation/states/{s}" for s in facts.endurance.left_states()] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    state = subject.name
    if facts.endurance.signs_left_on(state):
        return
    drains = facts.endurance.drains(state)
    amps = sum(d.solved for d in drains)
    if amps > MOST_A:
        draws = dict.fromkeys(w.what for d in drains for w in d.draws if "takes" in w.what)
        yield Unmet(
            f"{amps:.2f} A flow in {state} and no lamp or display shows it.",
            state=state,
            numbers=(("what draws", "; ".join(draws)), ("most", f"{MOST_A:g} A (common practice)")),
        )
