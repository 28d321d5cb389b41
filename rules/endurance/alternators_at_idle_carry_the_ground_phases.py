"""The alternator at idle carries the ground phases, or the battery helps briefly and is recharged.

Why: after half an hour of queueing with everything on, the battery that must take over if the
alternator fails is flat.

How judged: each phase with the engine running, on the ground or at idle, solved with the alternator
output at that engine speed. Batteries may discharge for at most 10 minutes, and the flight phases
that follow must leave the alternator the ampere-hours to recharge them.

Not covered: the charge acceptance of a battery.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, beside, parts, practice

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the battery may help an alternator at idle for 10 minutes"),)
REMEDY = "Leave loads off until the run-up is done, say so on a placard, or idle faster."


def subjects(facts: Facts):
    declared = facts.states.declared
    if not facts.design.of_kind(parts.Alternator) or not declared:
        return []
    phases = {name: declared[phase.state] for name, phase in facts.states.operation.phases.items()}
    slow = [n for n, s in phases.items() if s.engine == "running" and (s.use == "ground" or s.at_idle)]
    return [f"operation/phases/{n}" for n in slow]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    flown = next(f for f in facts.points.flown if f.phase == name)
    load = facts.endurance.phase_load(flown)
    gives = load.from_batteries
    if not gives:
        return
    if load.seconds is None:
        raise NotAssessable("`duration` of the phase, in which the batteries discharge")
    limit = practice("minutes", "idle-on-battery")
    used, back = gives * load.seconds / 3600, spare_after(name, facts)
    numbers = (
        ("battery discharge", f"{gives:.1f} A for {load.seconds / 60:.0f} min, {used:.2f} Ah"),
        ("available for recharge in the flight phases after it", f"{back:.2f} Ah"),
        (
            "output at this engine speed",
            ", ".join(f"{a.name} {a.load.output_a:g} A" for a in load.alternators),
        ),
    )
    if load.seconds > 60 * limit.high:
        sentence = (
            f"Alternator{' at idle' if load.at_idle else ''} does not carry the loads of {name}: "
            f"batteries discharge {gives:.1f} A for {beside(load.seconds / 60, limit.high, '.0f')} min; "
            f"limit {limit.high:g} min."
        )
        yield Unmet(
            sentence,
            field="duration",
            state=flown.state,
            numbers=(*numbers, ("longest discharge", f"{limit.high:g} min ({limit.origin})")),
        )
    elif back < used:
        yield Unmet(
            f"Batteries discharge {beside(used, back, '.2f')} Ah in {name}, not recharged in the "
            f"flight after it: {beside(back, used, '.2f')} Ah available.",
            state=flown.state,
            numbers=numbers,
        )


def spare_after(name: str, facts: Facts) -> float:
    """Ampere-hours of alternator margin in the flight phases after one."""
    names = list(facts.states.operation.phases)
    later = [
        f
        for f in facts.points.flown
        if f.phase
        and names.index(f.phase) > names.index(name)
        and facts.states.declared[f.state].use == "flight"
    ]
    loads = [facts.endurance.phase_load(f) for f in later]
    return sum((load.seconds or 0.0) / 3600 * sum(a.spare for a in load.alternators) for load in loads)
