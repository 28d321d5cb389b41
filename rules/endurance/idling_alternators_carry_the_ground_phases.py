"""An idling alternator carries the loads of the phases on the ground, or the battery helps for a short time and gets it back in the climb.

Why: after half an hour behind other aircraft with everything on, the battery that must take over when the alternator fails is flat.

How judged: each phase on the ground with the engine running, solved with the alternator's output at idle. Batteries may give current for 10 minutes at
most, and the phases of flight that follow must leave the alternator the ampere-hours to put it back.

Not covered: how fast a battery takes the charge back, and a taxi at more than idle speed.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, practice

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the battery may help an idling alternator for 10 minutes"),)
REMEDY = "Leave loads off until the run-up is done, say so on a placard, or idle faster."


def subjects(facts: Facts):
    if not facts.design.of_kind(parts.Alternator) or not facts.states.declared:
        return []
    phases = facts.states.operation.phases
    ground = [
        n
        for n, p in phases.items()
        if facts.states.declared[p.state].use == "ground"
        and facts.states.declared[p.state].engine == "running"
    ]
    return [f"operation/phases/{n}" for n in ground]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    flown = next(f for f in facts.points.flown if f.phase == name)
    load = facts.endurance.phase_load(flown)
    gives = load.from_batteries
    if not gives:
        return
    if load.seconds is None:
        raise NotAssessable("`duration` of the phase, in which the batteries give current")
    limit = practice("minutes", "idle-on-battery")
    used, back = gives * load.seconds / 3600, spare_after(name, facts)
    numbers = (
        ("batteries give", f"{gives:.1f} A for {load.seconds / 60:.0f} min, {used:.2f} Ah"),
        ("left over for them in the phases of flight after it", f"{back:.2f} Ah"),
        ("idle output", ", ".join(f"{a.name} {a.load.output_a:g} A" for a in load.alternators)),
    )
    if load.seconds > 60 * limit.high:
        sentence = f"The batteries give {gives:.1f} A for {load.seconds / 60:.0f} min in {name}: the alternator at idle does not carry the loads."
        yield Unmet(
            sentence,
            field="duration",
            state=flown.state,
            numbers=(*numbers, ("longest", f"{limit.high:g} min ({limit.origin})")),
        )
    elif back < used:
        yield Unmet(
            f"What the batteries give in {name}, {used:.2f} Ah, is not put back in the flight after it.",
            state=flown.state,
            numbers=numbers,
        )


def spare_after(name: str, facts: Facts) -> float:
    """Ampere-hours that alternators have to spare in the phases of flight after one."""
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
