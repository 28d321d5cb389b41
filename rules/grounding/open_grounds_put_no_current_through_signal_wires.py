"""An open ground conductor forces no return current through signal wires and shields.

Why: a starter or panel that has lost its ground returns through the thin wire of a sender or
headset, which burns, and the instrument with it.

How judged: each signal wire or shield that forms a loop with other return conductors is a possible
path. Every other wire of that loop is opened, in the normal state and while cranking, and the
currents are solved: limit 0.5 A in the signal wire. Inputs draw nothing.

Not covered: current inside a unit that isolates its signal returns, loops that a contact or breaker
closes, and loads that start.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, exceeds, gaps, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("practice", "a signal wire carries at most 0.5 A of stray return current"),
    ("ac-43-13-1b", "11-186f, no signal return through a power lead"),
)
REMEDY = (
    "Ground the panel or engine by a second lead, and remove the second ground of the sensor, jack or shield."
)


def subjects(facts: Facts):
    if not facts.states.flight_answers():
        return []
    return [
        f"wires/{n}"
        for n, w in facts.design.wires.items()
        if f"wires/{n}" in facts.grounds.signal_carriers or (w.shield and len(w.shield) == 2)
    ]


def judge(subject: Subject, facts: Facts):
    for suspect in facts.grounds.suspects:
        if suspect.wire != subject.pointer or not suspect.leads:
            continue
        stray = facts.grounds.stray(suspect)
        name = subject.name
        if exceeds(stray.amps, stray.most):
            what = f"the shield of {name}" if suspect.shield else f"{name}, a signal wire"
            yield Unmet(
                f"Open {bare(stray.lead)} forces {quantity(stray.amps, 'A', stray.most)} of "
                f"return current through {what}; limit {quantity(stray.most, 'A')} "
                "(common practice, no published source).",
                state=stray.state,
                path=(stray.lead, subject.pointer),
                numbers=stray.assumed,
            )
        elif stray.missing:
            raise NotAssessable(gaps(stray.missing, None))
