"""Every relay and contactor coil is suppressed.

Why: a coil that is switched off gives a spike of hundreds of volts that burns the switch and resets displays.

How judged: the unit says that it has a suppressor of its own, or a diode lies straight across the coil. Which way the diode points is a rule of its own.

Not covered: the rating of the suppressor.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "a diode across the coil, cathode to positive"),)
REMEDY = "Fit a diode across the coil, cathode to the positive side, or use a unit with a suppressor inside."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Electromagnet)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    suppression = subject.part(facts.design).suppression
    if suppression in (None, "none") and not facts.paths.coil_diodes(name):
        if suppression is None:
            raise NotAssessable(f"`suppression` of {name}, or a diode across its coil")
        yield Unmet(f"The coil of {name} has no suppressor.", field="suppression")
