"""Switching loads have an EMI filter.

Why: a cheap converter in a charging socket or a lamp is heard on the radio, or holds its squelch
open, on some channels only.

How judged: each electronic load says by `noise` whether its current is quiet, pulsed or switching;
other loads may. A switching load says by `filtered` whether its supply has an EMI filter.

Not covered: the quality of the filter, which a radio test on each channel shows.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "converters in sockets and lamps disturb radios unless filtered"),)
REMEDY = "Fit a unit made for aircraft, or a filter and a ferrite at the unit."


def subjects(facts: Facts):
    def judged(part):
        electronic = isinstance(part, parts.Load) and part.type == "electronic" and part.noise is None
        return electronic or part.noise == "switching"

    return [f"parts/{n}" for n in facts.design.of_kind(parts.Consumer) if judged(facts.design.parts[n])]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.noise is None:
        raise NotAssessable(f"`noise` of {name}")
    if part.filtered is None:
        raise NotAssessable(f"`filtered` of {name}")
    if not part.filtered:
        yield Unmet(f"Switching load {name} has no EMI filter.", field="filtered")
