"""Every relay and contactor coil is suppressed.

Why: a coil that is switched off produces a spike of hundreds of volts that burns the switch and
resets displays.

How judged: the unit states its own suppressor, or a diode is connected directly across the coil.
A diode inside the unit has its cathode at the positive terminal of the coil: where that terminal is
on the return side, it shorts the supply. A diode that is a part has a rule of its own.

Not covered: the rating of the suppressor.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, kind_word, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "a diode across the coil, cathode to positive"),)
REMEDY = (
    "Fit a diode across the coil, cathode to the positive side, or use a unit with an internal suppressor."
)

EXCHANGE = "Exchange the leads at the coil, so that its positive terminal is on the supply side."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Electromagnet)]


def judge(subject: Subject, facts: Facts):
    name, coil = subject.name, subject.part(facts.design).coil
    suppression = subject.part(facts.design).suppression
    if suppression == "diode" and not facts.paths.inner_diode_is_right(name):
        yield Unmet(
            f"The coil of {name} is reversed: {coil[0]}, its positive terminal, is on the return side, and "
            f"the diode inside shorts the supply at {coil[1]}.",
            field="coil",
            hazard=HazardClass.MAJOR,
            consequence="can burn",
            remedy=EXCHANGE,
        )
    if suppression in (None, "none") and not facts.paths.coil_diodes(name):
        if suppression is None:
            raise NotAssessable(f"`suppression` of {name}, or a diode across its coil")
        yield Unmet(
            f"The coil of {kind_word(subject.part(facts.design))} {name} has no suppressor.",
            field="suppression",
        )
