"""A coil or injector that a unit pulses has power through an output of that unit alone.

Why: an injector with its return to ground instead of the computer stays open from the moment it has
supply: it floods its cylinder before the start. An ignition coil so wired burns. Only one lead is
wrong, and the current of a single injector opens no fuse.

How judged: each load with a `driver`, in each declared state in which it has power: with the driver
removed, and its outputs with it, the load must have none. A load of type inductive whose `noise` is
pulsed is a coil that something pulses: where no unit's outputs do, its `driver` is requested from
the detailed stage on. The `driver` of a load that has its own, as a coil with electronics or a
plunger pump with its contact, is itself.

Not covered: which output of the unit drives it, what the unit does with it, and an output that
conducts while its unit has no power.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "injectors and ignition coils are switched by the driver of their computer"),)
REMEDY = "Wire the return of the coil, or its supply, to the output of the unit that drives it."


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    loads = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Load)]
    concept = facts.design.aircraft.stage == "concept"
    return [
        f"parts/{n}"
        for n, part in loads
        if part.driver is not None or (part.type == "inductive" and part.noise == "pulsed" and not concept)
    ]


def judge(subject: Subject, facts: Facts):
    name, driver = subject.name, subject.part(facts.design).driver
    if driver is None:
        units = [n for n in facts.design.of_kind(parts.Consumer) if facts.design.parts[n].outputs]
        if all(facts.switches.on_without(subject.pointer, n) for n in units):
            raise NotAssessable(f"`driver` of {name}: the unit that pulses it, or {name} itself")
        return
    state = facts.switches.on_without(subject.pointer, driver) if driver != name else None
    if state:
        yield Unmet(
            f"{name} is energised in {state} by a path other than the outputs of {driver}, its driver.",
            field="driver",
            state=state,
            path=facts.states.circuit_path(state, [subject.pointer], subject.pointer),
            elements=(f"parts/{driver}",),
            numbers=(("driver", driver),),
        )
