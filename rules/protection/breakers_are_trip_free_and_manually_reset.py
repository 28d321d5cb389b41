"""Breakers are trip-free and manually reset.

Why: a breaker that recloses by itself feeds a short over and over until something burns; one that
can be held in feeds it for as long as it is held.

How judged: the `reset` of each breaker. Automatic reset is accepted in or beside a motor if the
breaker feeds motors only and another breaker or fuse is upstream.

Not covered: electronic protection inside a unit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1357", "(c), trip-free and manually reset"),
    ("practice", "a thermal protector of a motor may reset itself behind its own breaker or fuse"),
)
REMEDY = "Fit a trip-free breaker with manual reset."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Breaker)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    reset = subject.part(facts.design).reset
    if reset is None:
        raise NotAssessable(f"`reset` of {name}")
    if reset == "not-trip-free":
        yield Unmet(f"Breaker {name} is not trip-free: held in, it feeds a short.", field="reset")
    elif reset == "automatic" and not facts.protection.guards_a_motor(name):
        yield Unmet(f"Breaker {name} resets automatically: it feeds a short again and again.", field="reset")
