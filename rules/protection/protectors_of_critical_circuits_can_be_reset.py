"""What takes a critical load when it opens can be reset in flight.

Why: a fuse at the firewall that opens once, for no lasting fault, keeps an ignition dead to the end of the flight.

How judged: each protector that takes a load of a function whose loss is hazardous or worse, in any state of normal flight, must be a breaker in reach in
flight; or one in reach must stand below it and open before it by their ratings (1.5 times; a fuse above a breaker, twice). A load that works on by
another feed does not need it.

Not covered: whether the crew should reset it; and at the concept stage breakers of which `reach` is not said.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1357", "(d), what is essential to safety in flight can be reset or replaced in flight"),
    ("practice", "the order of two protectors by their ratings; the ratios have no source"),
)
REMEDY = "Fit a breaker in reach, or give the load a second feed that takes over by itself."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.needed_protectors]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if facts.protection.can_be_reset(part):
        return
    if isinstance(part, (parts.Breaker, parts.BreakerSwitch)) and part.reach is None:
        if facts.design.aircraft.stage == "concept":
            return
        raise NotAssessable(f"`reach` of {name}")
    for needed in facts.protection.needed_protectors[name]:
        below = [other for other in needed.others if facts.protection.can_be_reset(facts.design.parts[other])]
        if not any(facts.failures.selectivity(name, other).promised for other in below):
            high = f", and its rating does not let {' or '.join(below)} open first" if below else ""
            yield Unmet(
                f"{name} takes {needed.load}, on which {needed.function} rests, and is no breaker in reach in flight{high}.",
                field="reach" if part.reach else "kind",
                state=needed.state,
                failure="open",
            )
            return
