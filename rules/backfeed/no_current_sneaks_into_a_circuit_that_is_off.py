"""No current sneaks through a load, a lamp or a coil into a circuit that is off.

Why: an indicator between two ignition feeds keeps a channel alive that was switched off; a lost shared return lights what nobody switched on.

How judged: from the dispatch state each switch is moved alone, and in each setting every conductor of the return side is opened once. Loads are taken
as conductors: lamps, heaters, motors and coils both ways, electronics from supply to return. A consumer that no source powers, whose supply is reached
that way and whose return is whole, is a finding. It is major where it belongs to a function whose loss is hazardous or worse.

Not covered: how much current it is, light-emitting diodes as loads of type `lamp`, and two returns lost at once.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "sneak circuits: separately switched circuits share no load and no return alone"),)
REMEDY = "Give each circuit an indicator and a return of its own, or a diode in each leg."


def subjects(facts: Facts):
    return [
        f"parts/{n}"
        for n in facts.design.of_kind((parts.Consumer, parts.Electromagnet))
        if facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    for sneak in (s for s in facts.paths.sneaks if s.victim == subject.pointer):
        name = subject.name
        when = f" with {sneak.moved[0]} at {sneak.moved[1]}" if sneak.moved else ""
        lost = f"{' and' if when else ' with'} {bare(sneak.lost)} open" if sneak.lost else ""
        through = " and ".join(bare(e) for e in sneak.through)
        critical = (
            any(name in facts.states.loads_of(f) for f in facts.states.critical_functions)
            if facts.design.functions
            else False
        )
        yield Unmet(
            f"{name} gets current through {through}{when}{lost}, though it is off.",
            state=facts.states.answers()[0].state.name,
            failure="open" if sneak.lost else "",
            path=sneak.path,
            hazard=HazardClass.MAJOR if critical else None,
        )
