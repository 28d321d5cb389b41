"""Every magneto that a state declares silent has its p-lead grounded there.

Why: a magneto needs no battery. One whose p-lead does not reach its case fires when the propeller
is moved by hand, or kicks the engine back while it is cranked.

How judged: in each state the magnetos under `silent` must be grounded. Current can go from the
p-lead by closed switches and conductors to the ground of that magneto, whose case is joined to what
it is bolted to. Whether the engine turns does not matter. A design with a magneto states at least
one state in which it is silent.

Where the switch has no ground and two leads are crossed too, the states that a ground alone puts
right are a finding of their own.

Not covered: resistance of the path to ground, and the mechanical means of stopping an engine.
"""

from reviewer.rulebook import A_STATE, Facts, HazardClass, NotAssessable, Subject, Unmet, parts, remedy

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "a magneto is off only while its p-lead is grounded"),)
REMEDY = "Ground the p-lead through the ignition switch to the case of its magneto, by a lead of its own."
EXCHANGED = "Exchange the positions {1} and {2} of {0}: each grounds what the other must ground."
POSITIONS = " Where the leads are right, exchange the positions {1} and {2} of {0}."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    silent = [state.name for state in facts.states.declared.values() if name in state.silent]
    if not silent:
        raise NotAssessable("`silent` of the states in which the magnetos must not fire", A_STATE)
    for hot in facts.detection.ungrounded_magnetos:
        if hot.magneto == name:
            wire, leads = remedy.crossed_leads(name, facts)
            behind, exchange, still = ("", "", ()) if wire else remedy.crossed_behind_ground(name, facts)
            exchanged = facts.detection.exchanged_positions(hot)
            other = f"parts/{exchanged[0]}/positions" if exchanged else f"{subject.pointer}/ground"
            told = (leads + POSITIONS if leads else EXCHANGED).format(*exchanged) if exchanged else leads
            elements = (f"parts/{exchanged[0]}",) if exchanged else ()
            changes = (wire, f"{subject.pointer}/ground") if wire else (other,)
            grounded = [state for state in hot.states if state not in still]
            if grounded:
                yield _hot(name, grounded, f"in {grounded[0]}", facts, changes, elements, told)
            if still:
                where = f"in {still[0]}, even with a ground at its switch"
                yield _hot(name, still, where, facts, (behind,), (), exchange)


def _hot(name, states, where: str, facts: Facts, changes, elements, told: str) -> Unmet:
    by_hand = facts.states.answer(states[0]).state.engine == "stopped"
    turned = "the propeller is turned by hand" if by_hand else "the engine turns"
    return Unmet(
        f"{name} is not grounded {where}: it fires when {turned}.",
        state=states[0],
        numbers=(("also in", ", ".join(states[1:])),) if states[1:] else (),
        elements=elements,
        changes=changes,
        hazard=HAZARD if by_hand else HazardClass.MAJOR,
        remedy=told,
    )
