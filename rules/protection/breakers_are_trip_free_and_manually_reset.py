"""Breakers are trip-free and manually reset.

Why: a breaker that recloses by itself feeds a short over and over until something burns. One that
can be held in feeds it for as long as it is held.

How judged: the `reset` of each breaker; a resettable fuse closes again by itself. That is accepted
in or beside a motor if the device feeds motors only and another breaker or fuse is upstream, and
inside a unit, which limits what it feeds. An electronic breaker stays open until it is reset.

Not covered: what a unit does by itself with the protection inside it.
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
    fuses = facts.design.of_kind(parts.Fuse)
    resettable = [n for n in fuses if facts.design.parts[n].reset is not None]
    return [f"parts/{n}" for n in (*facts.design.of_kind(parts.Breaker), *resettable)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    reset, kind = part.reset, "Breaker" if isinstance(part, parts.Breaker) else "Resettable fuse"
    if reset is None:
        raise NotAssessable(f"`reset` of {name}")
    if reset == "not-trip-free":
        yield Unmet(f"Breaker {name} is not trip-free: held in, it feeds a short.", field="reset")
    elif reset == "automatic" and part.inside is None and not facts.protection.guards_a_motor(name):
        field = "reset" if kind == "Breaker" else "construction"
        yield Unmet(
            f"{kind} {name} resets automatically: it recloses on a short again and again.", field=field
        )
