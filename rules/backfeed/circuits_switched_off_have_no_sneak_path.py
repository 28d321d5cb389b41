"""No sneak path through a load, lamp or coil energises a circuit that is off.

Why: an indicator between two ignition feeds keeps a channel alive that was switched off; a lost
shared return lights what nobody switched on.

How judged: from each declared state each switch is moved alone, and in each setting every return
conductor is opened once. Loads conduct: lamps, heaters, motors and coils both ways, electronics
from supply to return. A consumer that no source powers, whose supply is reached that way and whose
return is intact, is a finding. Major if it belongs to a function of hazardous or catastrophic loss.

Not covered: the size of the current, light-emitting diodes as loads of type `lamp`, two lost
returns.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "sneak circuits: separately switched circuits share no load and no single return"),)
REMEDY = "Give each circuit its own indicator, and each of them its own return to ground."


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
            f"{name}, switched off, is energised by a sneak path through {through}{when}{lost}.",
            state=sneak.state,
            failure=f"{bare(sneak.lost)} open" if sneak.lost else "",
            path=sneak.path,
            remedy=""
            if sneak.lost
            else f"Feed {through} from one circuit alone, with the return to ground; the other needs its "
            "own.",
            hazard=HazardClass.MAJOR if critical else None,
        )
