"""No breaker or fuse is worked as a switch on every flight.

Why: a breaker is made to open a few hundred times under fault, not thousands of times by hand; worn, it opens early or not at all.

How judged: a breaker, fuse or limiter that is pulled in some of the declared states of flight or on the ground and in at others is worked from flight to
flight. States whose `use` is `abnormal` do not count: a checklist for a failure may pull breakers. Nor do those that only a check before flight is made
in: 11-52 wants breakers moved now and then.

Not covered: how often it is worked; breakers made as switches are `breaker-switch`.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("ac-43-13-1b", "11-51, a breaker as a switch is not recommended"),)
REMEDY = "Fit a switch beside it, or a breaker that is made to be used as a switch."


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind((parts.Breaker, parts.Fuse, parts.Limiter))]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    operation = facts.states.operation
    flown = {operation.dispatch, *(phase.state for phase in operation.phases.values())}
    checked = {check.state for check in facts.design.watch.checks.values()} - flown
    normal = [
        state
        for state in facts.states.declared.values()
        if state.use != "abnormal" and state.name not in checked
    ]
    pulled = [state.name for state in normal if name in state.pulled]
    if pulled and len(pulled) < len(normal):
        yield Unmet(
            f"{name} is pulled in {', '.join(pulled)} and in at other times: it is worked as a switch.",
            state=pulled[0],
        )
