"""Circuit protection of a critical load can be reset or replaced in flight.

Why: a fuse at the firewall that opens once, without a lasting fault, disables an ignition to the
end of the flight.

How judged: each breaker, fuse and current limiter that loses a load of a function of hazardous or
catastrophic loss in any normal flight state. It must be a breaker accessible in flight, or a fuse
accessible in flight with a spare of its rating. Else such a one downstream must open before it by
their ratings (1.5 times; fuse above breaker, twice). A load that keeps working on another feed does
not need it. Nor do the loads of a function that continues in that state without any electrical
power, by an engine-driven pump or by magnetos.

Not covered: whether the crew should reset it; at the concept stage, breakers without `accessible`
and fuses without `spares`.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, parts, rated

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1357", "(d), what is essential to safety in flight can be reset or replaced in flight"),
    ("practice", "selectivity of two devices by their ratings"),
)
REMEDY = "Fit a breaker accessible in flight, or give the load a second feed that takes over automatically."
SPARE = "Carry a spare within the pilot's reach, or fit a breaker accessible in flight."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.needed_protectors]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if _put_back(part, facts):
        return
    if unsaid_key := _unsaid(part, facts):
        if facts.design.aircraft.stage == "concept":
            return
        raise NotAssessable(f"`{unsaid_key}` of {name}")
    replaced = isinstance(part, parts.Fuse) and part.accessible == "in-flight"
    unsaid: dict = {}
    for needed in facts.protection.needed_protectors[name]:
        first = [other for other in needed.others if facts.failures.selectivity(name, other).promised]
        if any(_put_back(facts.design.parts[other], facts) for other in first):
            continue
        if unknown := {n: key for n in first if (key := _unsaid(facts.design.parts[n], facts))}:
            unsaid |= unknown
            continue
        below = [other for other in needed.others if _put_back(facts.design.parts[other], facts)]
        high = f"; not selective with {' or '.join(below)}" if below else ""
        yield Unmet(
            f"{rated(name, part)} feeds {needed.load}, needed for {needed.function}, and cannot be "
            f"reset in flight{'; no spare fuse is carried' if replaced else ''}{high}.",
            field="spares" if replaced else "accessible" if part.accessible else "kind",
            state=needed.state,
            failure="open",
            path=facts.states.path_to(needed.state, f"parts/{needed.load}", subject.pointer),
            numbers=(("not selective with", ", ".join(below)),) if below else (),
            remedy=SPARE if replaced else "",
        )
        return
    if unsaid and facts.design.aircraft.stage != "concept":
        key = next(iter(unsaid.values()))
        raise NotAssessable(f"`{key}` of {and_list(n for n in unsaid if unsaid[n] == key)}")


def _put_back(part, facts: Facts) -> bool:
    return facts.protection.can_be_reset(part) or bool(facts.protection.spares_in_reach(part))


def _unsaid(part, facts: Facts) -> str:
    """The key that decides and is not stated; "" for none."""
    if facts.protection.spares_in_reach(part) is None:
        return "spares"
    reset = isinstance(part, (parts.Breaker, parts.BreakerSwitch))
    return "accessible" if reset and part.accessible is None else ""
