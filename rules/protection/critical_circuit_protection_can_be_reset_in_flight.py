"""Circuit protection of a critical load can be reset in flight.

Why: a fuse at the firewall that opens once, without a lasting fault, disables an ignition to the
end of the flight.

How judged: each breaker, fuse and current limiter that loses a load of a function of hazardous or
catastrophic loss, in any normal flight state, must be a breaker accessible in flight. Else an
accessible one downstream must open before it by their ratings (1.5 times; fuse above breaker,
twice). A load that keeps working on another feed does not need it. Nor do the loads of a function
that continues in that state without any electrical power, by an engine-driven pump or by magnetos.

Not covered: whether the crew should reset it; at the concept stage, breakers without `accessible`.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, rated

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1357", "(d), what is essential to safety in flight can be reset or replaced in flight"),
    ("practice", "selectivity of two devices by their ratings"),
)
REMEDY = "Fit a breaker accessible in flight, or give the load a second feed that takes over automatically."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.needed_protectors]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if facts.protection.can_be_reset(part):
        return
    if _unsaid(part):
        if facts.design.aircraft.stage == "concept":
            return
        raise NotAssessable(f"`accessible` of {name}")
    unsaid: dict = {}
    for needed in facts.protection.needed_protectors[name]:
        first = [other for other in needed.others if facts.failures.selectivity(name, other).promised]
        if any(facts.protection.can_be_reset(facts.design.parts[other]) for other in first):
            continue
        if unknown := [n for n in first if _unsaid(facts.design.parts[n])]:
            unsaid |= dict.fromkeys(unknown)
            continue
        below = [other for other in needed.others if facts.protection.can_be_reset(facts.design.parts[other])]
        high = f"; not selective with {' or '.join(below)}" if below else ""
        yield Unmet(
            f"{rated(name, part)} feeds {needed.load}, needed for {needed.function}, and cannot be "
            f"reset in flight{high}.",
            field="accessible" if part.accessible else "kind",
            state=needed.state,
            failure="open",
            path=facts.states.path_to(needed.state, f"parts/{needed.load}", subject.pointer),
            numbers=(("not selective with", ", ".join(below)),) if below else (),
        )
        return
    if unsaid and facts.design.aircraft.stage != "concept":
        raise NotAssessable(f"`accessible` of {' and '.join(unsaid)}")


def _unsaid(part) -> bool:
    return isinstance(part, (parts.Breaker, parts.BreakerSwitch)) and part.accessible is None
