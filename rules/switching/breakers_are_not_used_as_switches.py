"""No breaker or fuse is operated as a switch on every flight.

Why: a breaker is made to open a few hundred times under fault, not thousands of times by hand;
worn, it opens early or not at all.

How judged: a breaker, fuse or current limiter that is pulled in some of the declared flight or
ground states and closed in others is operated from flight to flight. States of use `abnormal` do
not count: an emergency checklist may pull breakers. Nor do states of a pre-flight check only: 11-52
wants breakers cycled now and then.

Not covered: how often it is operated; breakers made as switches are `breaker-switch`.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts, rated

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("ac-43-13-1b", "11-51, a breaker as a switch is not recommended"),
    ("ac-43-13-1b", "11-52, breakers are cycled from time to time"),
)
REMEDY = "Fit a switch in series, or a switch-rated breaker."


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind((parts.Breaker, parts.Fuse, parts.Limiter))]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    operation = facts.states.operation
    flown = {operation.normal, *(phase.state for phase in operation.phases.values())}
    checked = {check.state for check in facts.design.watch.checks.values()} - flown
    normal = [
        state
        for state in facts.states.declared.values()
        if state.use != "abnormal" and state.name not in checked
    ]
    pulled = [state.name for state in normal if name in state.pulled]
    if pulled and len(pulled) < len(normal):
        yield Unmet(
            f"{rated(name, subject.part(facts.design))} is used as a switch: pulled in {', '.join(pulled)}, "
            "closed in other normal states.",
            state=pulled[0],
        )
