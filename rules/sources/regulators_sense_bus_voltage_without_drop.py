"""A regulator that senses through a feed that carries current senses nearly the bus voltage.

Why: the regulator adds the drop of old breakers, switches and crimps in that feed to the bus; half
an ohm boils the battery.

How judged: the voltage drop from the first bus to where the regulator senses is at most 0.2 V
(twice that at 28 V). That is judged where `regulator-senses` is the field, or a separate regulator
senses its supply. So it is where the sense lead is on the feed of its supply or of loads behind the
bus; a sense lead of its own carries no current. It is solved at the `field-current` of full output,
in the first normal flight state in which the alternator is on line. Loss of a field feed stops the
alternator: it fails low.

Not covered: ageing: the figures are for new contacts. The ground side has its own rule.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    exceeds,
    parts,
    practice,
    quantity,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "0.2 V drop in the sense path"),)
REMEDY = (
    "Sense the output, or give the regulator its own sense wire from the bus; shorten and thicken the "
    "field feed."
)
OF_LEAD = "Run the sense lead from the bus that the alternator feeds, with nothing else on it."
MOST = practice("volts", "sense-path-drop").high


def subjects(facts: Facts):
    machines = facts.sources.at_work.items() if facts.design.operation else ()
    return [e for e, states in machines if states and not facts.design.parts[bare(e)].magnets]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part, held = facts.design.part(name, parts.Alternator), facts.sources.regulation(subject.pointer)
    if held.senses is None:
        raise NotAssessable(f"`regulator-senses` of {name}")
    own_lead = held.senses == "sense" and not facts.sources.sense_carries_current(subject.pointer)
    if own_lead or not held.remote:
        return
    if part.field_current is None:
        raise NotAssessable(f"`field-current` of {name}")
    most = MOST * facts.design.aircraft.scale
    rise = facts.sources.sense_rise(subject.pointer)
    if rise and exceeds(rise.volts, most):
        feed = f"{held.senses} feed" if held.senses != "supply" else "supply"
        yield Unmet(
            f"The regulator of {name} raises the bus by {quantity(rise.volts, 'V', most)}, the voltage "
            f"drop of its {feed}; limit {quantity(most, 'V')}.",
            field="" if held.separate else "regulator-senses",
            remedy=OF_LEAD if held.senses == "sense" else "",
            state=rise.flown.state,
            path=rise.path,
            numbers=(
                ("drop", quantity(rise.volts, "V", most)),
                ("limit", quantity(most, "V")),
                ("field current", quantity(part.field_current, "A")),
                *facts.wires.typical_behind(rise.flown, rise.path),
            ),
        )
