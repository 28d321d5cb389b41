"""Breakers are trip-free and reset by hand.

Why: a breaker that closes again by itself feeds a short over and over until something burns; one that can be held in does so for as long as it is held.

How judged: the `reset` of each breaker. One inside or beside a motor that resets by itself is accepted where it feeds motors alone and another breaker or
fuse stands before it.

Not covered: electronic protectors inside a unit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1357", "(c), trip-free and reset by hand"),
    ("practice", "a thermal guard of a motor may reset itself, behind a protector of its own"),
)
REMEDY = "Fit a trip-free breaker that is reset by hand."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Breaker)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    reset = subject.part(facts.design).reset
    if reset is None:
        raise NotAssessable(f"`reset` of {name}")
    if reset == "not-trip-free":
        yield Unmet(f"{name} is not trip-free: held in, it feeds a short.", field="reset")
    elif reset == "automatic" and not facts.protection.guards_a_motor(name):
        yield Unmet(f"{name} resets by itself: it feeds a short again and again.", field="reset")
