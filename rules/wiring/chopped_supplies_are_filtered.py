"""Loads that chop their supply have a filter.

Why: a cheap converter in a charging socket or a lamp is heard on the radio, or keeps its squelch open, on some channels only.

How judged: each electronic load says by `noise` whether its current is quiet, pulsed or switching; other loads may. One that is switching says by
`filtered` that its supply has a filter.

Not covered: how good the filter is, which a test with the radio on each channel shows.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "converters in sockets and lamps disturb radios unless they are filtered"),)
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
        yield Unmet(f"{name} chops its supply and has no filter.", field="filtered")
