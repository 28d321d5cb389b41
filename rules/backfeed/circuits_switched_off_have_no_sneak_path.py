"""No sneak path through a load, lamp or coil energises a circuit that is off.

Why: an indicator between two ignition feeds keeps a channel alive that was switched off; an open
shared return lights a lamp that nobody switched on.

How judged: from each declared state each switch is moved, alone or with the switch that an
exclusion moves with it. In each setting every return conductor is opened once. Loads conduct:
lamps, heaters, motors and coils both ways, electronics from supply to return. A load or coil that
no source powers, nor would with the return intact, is a finding if current reaches it that way and
returns. Where the file gives the currents of all loads on the path the state is solved.
Electronics need their minimum voltage, a coil that is off its `pickup-voltage`, one that was on
its `dropout-voltage`. A lamp needs a quarter of nominal, at which a filament gives about a
hundredth of its light; others a tenth. With a return open the loads that pass the current are
judged so too. Not a lamp, where that return disconnects every load from a battery: that shows
first. A load that is off, with a current stated for other phases, counts with the largest of
these. Not assessed where only a pickup or dropout voltage that is not stated would decide, or
where a return is open and a current is missing. Major if the load serves a function of hazardous
or catastrophic loss.

Not covered: what passes on through a diode inside a relay, unless it is drawn as a part, two open
returns, and light-emitting diodes as loads of type `lamp`. Also not covered: the voltage of a load
of several supplies that such a current feeds, and relays that stay energised with no failure
(another rule).
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    parts,
    quantity,
    sneak_remedies,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "sneak circuits: separately switched circuits share no load and no single return"),)
REMEDY = "Give each circuit its own indicator, and each of them its own return to ground."
ONE = "Feed {} from one circuit alone, with the return to ground; the other needs its own."


def subjects(facts: Facts):
    return [
        f"parts/{n}"
        for n in facts.design.of_kind((parts.Consumer, parts.Electromagnet))
        if facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    for sneak in (s for s in facts.paths.sneaks if s.victim == subject.pointer):
        name = subject.name
        if sneak.effect.missing:
            raise NotAssessable(sneak.effect.missing)
        when = f" with {sneak.moved[0]} at {sneak.moved[1]}" if sneak.moved else ""
        lost = f"{' and' if when else ' with'} {bare(sneak.lost)} open" if sneak.lost else ""
        through = " and ".join(bare(e) for e in sneak.through)
        grave = facts.states.critical_functions if facts.design.functions else ()
        critical = any(name in facts.states.loads_of(f) for f in grave)
        yield Unmet(
            f"{name}, switched off, {sneak.effect.does} by a sneak path through {through}{when}{lost}.",
            state=sneak.state,
            failure=f"{bare(sneak.lost)} open" if sneak.lost else "",
            path=sneak.path,
            changes=("isolation", *((f"{sneak.lost}/second",) if sneak.lost else ())),
            numbers=(("through", ", ".join(map(bare, sneak.through))), *_numbers(sneak.effect)),
            remedy=sneak_remedies.circuits_apart(sneak, facts.design)
            or (REMEDY if sneak.lost else ONE.format(through)),
            hazard=HazardClass.MAJOR if critical else None,
        )


def _numbers(effect):
    if effect.volts is None:
        return ()
    volts = (("voltage", quantity(effect.volts, "V", effect.least)), ("limit", quantity(effect.least, "V")))
    return (*volts, ("typical values", effect.assumed)) if effect.assumed else volts
