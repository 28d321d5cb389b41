"""A regulator that senses through the feed of its field senses nearly what the bus has.

Why: what old breakers, switches and crimps drop in that feed, the regulator adds to the bus; half an ohm boils the battery.

How judged: where `regulator-senses` is the field, the volts between the first bus on the way to the field and the field, with the `field-current` of full
output, are at most 0.2 V (twice that at 28 V) in the first state of normal flight in which it is at work. Loss of that feed stops the alternator: it fails low.

Not covered: ageing: the figures are those of new contacts. The ground side, which has a rule of its own.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "0.2 V of drop in the sense path; worn joints have raised buses above 15 V"),)
REMEDY = "Sense the output, or give the regulator a sense wire of its own from the bus; shorten and thicken the feed of the field."
MOST = 0.2


def subjects(facts: Facts):
    machines = facts.sources.at_work.items() if facts.design.operation else ()
    return [e for e, states in machines if states and facts.design.parts[bare(e)].excitation == "field"]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = facts.design.part(name, parts.Alternator)
    if part.regulator_senses is None:
        raise NotAssessable(f"`regulator-senses` of {name}")
    if part.regulator_senses == "output":
        return
    if part.field_current is None:
        raise NotAssessable(f"`field-current` of {name}")
    most = MOST * facts.design.aircraft.scale
    rise = facts.sources.sense_rise(subject.pointer)
    if rise and rise.volts > most:
        yield Unmet(
            f"The regulator of {name} raises the bus by {rise.volts:.2f} V: that is what the feed of its field drops.",
            field="regulator-senses",
            state=rise.flown.state,
            path=rise.way,
            numbers=(
                ("drop", f"{rise.volts:.2f} V"),
                ("limit", f"{most:g} V"),
                ("field current", f"{part.field_current:g} A"),
                *facts.wires.typical_behind(rise.flown, rise.way),
            ),
        )
