"""A motor or heater of intermittent duty is not left on through a long phase of flight.

Why: a gear or flap motor without a limit or pressure switch runs on when its travel is done, and
glow plugs that stay on burn out. Both load the battery for hours with what was counted for seconds.

How judged: each load of intermittent `duty` that is no lamp, starter or electronic unit must be off
in the state of each phase of more than 5 min. That time is common practice (no published source).
Without phases it must be off in the normal state. If a switch that springs back stops it while it
is held, the load runs at its rest: a contact is reversed, or a coil is energised past the switch. A
`current` by phase that is less than a tenth of its `peak` in a phase says that it does not run
through that.

Not covered: a load that stops by a switch inside it, unless its `current` by phase says so; stuck
contacts (motors-that-run-on-can-be-stopped-in-flight).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "a load that is on for longer than 5 min is continuous"),)
REMEDY = (
    "Draw the limit or pressure switch that stops it, switch it off in the state, or write its `current` "
    "by phase if a switch inside it stops it."
)
RUNS = (None, "motor", "heater", "resistive", "inductive")


def subjects(facts: Facts):
    loads = {n: facts.design.parts[n] for n in facts.design.of_kind(parts.Load)}
    if not facts.design.operation:
        return []
    return [f"parts/{n}" for n, part in loads.items() if part.duty == "intermittent" and part.type in RUNS]


def judge(subject: Subject, facts: Facts):
    on = facts.switches.long_phases_on(subject.name)
    if on.phases:
        also, state = ", ".join(on.phases[1:]), on.state
        rest = facts.switches.stopped_by_pressing(state, subject.pointer)
        switch, position = rest or ("", "")
        runs = f"runs with {switch} at {position}, its rest, in {on.phases[0]}"
        yield Unmet(
            f"{subject.name}, of intermittent duty, {runs if rest else f'stays on in {on.phases[0]}'}.",
            field="" if rest else "duty",
            state=state,
            path=facts.states.path_to(state, subject.pointer),
            numbers=(("also in", also),) if also else (),
            consequence="on when not wanted" if rest else "",
            remedy=f"Exchange the contacts through which it runs with {switch} at {position}."
            if rest
            else "",
        )
    elif on.unknown:
        raise NotAssessable(f"`duration` of phase {on.unknown}, in which {subject.name} is on")
