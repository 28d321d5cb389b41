"""Every magneto that a state declares silent has its p-lead grounded there.

Why: a magneto needs no battery. One whose p-lead does not reach its case fires when the propeller
is moved by hand, or kicks the engine back while it is cranked.

How judged: in each state the magnetos under `silent` must be grounded. Current can go from the
p-lead by closed switches and conductors to the ground of that magneto, whose case is joined to what
it is bolted to. Whether the engine turns does not matter. A design with a magneto states at least
one state in which it is silent.

Not covered: resistance of the path to ground, and the mechanical means of stopping an engine.
"""

from reviewer.rulebook import A_STATE, Facts, HazardClass, NotAssessable, Subject, Unmet, parts, remedy

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "a magneto is off only while its p-lead is grounded"),)
REMEDY = "Ground the p-lead by the ignition switch to the case of its magneto, by a lead of its own."
EXCHANGED = "Exchange the positions {1} and {2} of {0}: each grounds what the other must ground."
POSITIONS = " Where the leads are right, exchange the positions {1} and {2} of {0}."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    silent = [state.name for state in facts.states.declared.values() if name in state.silent]
    if not silent:
        raise NotAssessable(f"`silent` of the states in which {name} must not fire", A_STATE)
    for hot in facts.detection.ungrounded_magnetos:
        if hot.magneto == name:
            first, *more = hot.states
            wire, leads = remedy.crossed_leads(name, facts)
            exchanged = facts.detection.exchanged_positions(hot)
            turned = "the propeller is turned by hand" if hot.by_hand else "the engine turns"
            other = f"parts/{exchanged[0]}/positions" if exchanged else f"{subject.pointer}/ground"
            told = (leads + POSITIONS if leads else EXCHANGED).format(*exchanged) if exchanged else leads
            yield Unmet(
                f"{name} is not grounded in {first}: it fires when {turned}.",
                state=first,
                numbers=(("also in", ", ".join(more)),) if more else (),
                elements=(f"parts/{exchanged[0]}",) if exchanged else (),
                changes=(wire, f"{subject.pointer}/ground") if wire else (other,),
                hazard=HAZARD if hot.by_hand else HazardClass.MAJOR,
                remedy=told,
            )
