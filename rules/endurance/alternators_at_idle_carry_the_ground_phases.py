"""The alternator at idle carries the ground phases, or the battery helps briefly and is recharged.

Why: after half an hour of waiting with everything on, the battery that must take over is flat.

How judged: each phase with the engine running, on the ground or at idle, solved with the alternator
output at that engine speed. Batteries may discharge for at most 10 minutes, and the flight phases
that follow, of stated durations, must leave the alternator the ampere-hours to recharge them. An
output at idle that is not stated is tried at both ends of common practice, 40 and 60 % of the
rating; where that decides, it is asked for.

Not covered: the charge acceptance of a battery.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    exceeds,
    in_brackets,
    minutes,
    parts,
    practice,
    quantity,
)

HAZARD, CONSEQUENCE = HazardClass.MINOR, "runs short"
CITATIONS = (("practice", "the battery may help an alternator at idle for 10 minutes"),)
REMEDY = "Leave loads off until the run-up is done, say so on a placard, or idle faster."


def subjects(facts: Facts):
    declared = facts.states.declared if facts.design.of_kind(parts.Alternator) else {}
    phases = {n: declared[p.state] for n, p in facts.states.operation.phases.items() if declared}
    slow = [n for n, s in phases.items() if s.engine == "running" and (s.use == "ground" or s.at_idle)]
    return [f"operation/phases/{n}" for n in slow]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    flown = next(f for f in facts.points.flown if f.phase == name)
    load, idle = facts.endurance.phase_load(flown), facts.endurance.idle_discharge(name)
    most = 60 * (limit := practice("minutes", "idle-on-battery")).high
    if idle.depends(load.seconds, most):
        raise NotAssessable(f"`idle-output` of {and_list(idle.unstated)}")
    if not (gives := load.from_batteries):
        return
    if load.seconds is None:
        raise NotAssessable("`duration` of the phase, in which the batteries discharge")
    used = gives * load.seconds / 3600
    outputs = ", ".join(f"{a.name} {quantity(a.load.output_a, 'A')}" for a in load.alternators) or "0 A"
    numbers = (
        ("battery discharge", f"{quantity(gives, 'A')} for {minutes(load.seconds)}, {quantity(used, 'Ah')}"),
        ("available for recharge in the flight phases after it", quantity(idle.back, "Ah")),
        ("output at this engine speed", outputs),
    )
    if exceeds(load.seconds, most):
        yield Unmet(
            f"Alternator{' at idle' if load.at_idle else ''} does not carry the loads of {name}: "
            f"batteries discharge {quantity(gives, 'A')} for {minutes(load.seconds, most)}; "
            f"limit {minutes(most)}.",
            field="duration",
            state=flown.state,
            numbers=(*numbers, ("longest discharge", f"{minutes(most)} {in_brackets(limit.origin)}")),
        )
    elif exceeds(used, idle.back) and idle.untimed:
        needs = f"`duration` of {and_list(idle.untimed)}"
        raise NotAssessable(f"{needs}, in which the batteries are recharged")
    elif exceeds(used, idle.back):
        yield Unmet(
            f"Batteries discharge {quantity(used, 'Ah', idle.back)} in {name}, not recharged in the "
            f"flight after it: {quantity(idle.back, 'Ah', used)} available.",
            state=flown.state,
            numbers=numbers,
        )
