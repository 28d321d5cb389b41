"""A lithium battery can supply the starter current.

Why: the management circuit of a lithium battery reads a cold start as a short circuit and
disconnects. The panel goes dark at the start, or in flight at the next heavy load.

How judged: in each state with `engine: cranking` the current of each lithium battery is solved with
the starter stalled. It is a resistance that draws its `peak` at its `peak-voltage`, else at 12 V
(24 V in a 28 V system), and never less than its cranking current. Batteries have their
`cold-resistance`, else one and a half to two times their resistance (common practice, no published
source), requested where that decides. The current must not exceed the battery's
`max-discharge-current`. A battery that feeds no starter then, as behind a diode, is not asked.

Not covered: the temperature below which the cells deliver no current, and a limit that falls with
temperature unless the file gives the cold one.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "a lithium battery's management has a short-circuit limit"),)
REMEDY = (
    "Choose a battery whose management allows the starting current, keep it warm, or start from "
    "another battery."
)


def subjects(facts: Facts):
    if not facts.switches.flown_cranking:
        return []
    names = facts.design.of_kind(parts.Battery)
    return [
        f"parts/{n}"
        for n in names
        if facts.design.parts[n].chemistry == "lithium-iron-phosphate" and _helps(facts, n)
    ]


def _helps(facts: Facts, name: str) -> bool:
    """Whether a battery feeds a starter in a state in which it cranks; behind a diode it may not."""
    users = (facts.network.users.get(f"parts/{n}") for n in facts.design.starters)
    nodes = [node for user in users if user for node in user.plus]
    answers = [facts.states.answer(flown.state).healthy for flown in facts.switches.flown_cranking]
    return any(healthy.fed[f"parts/{name}"][node] for healthy in answers for node in nodes)


def judge(subject: Subject, facts: Facts):
    name = subject.name
    limit = subject.part(facts.design).max_discharge_current
    if limit is None:
        raise NotAssessable(f"`max-discharge-current` of {name}")
    stiff = [c for c in facts.switches.cranked if exceeds(c.point.given[subject.pointer], limit)]
    cold = [c for c in facts.switches.cranked_with_more if exceeds(c.point.given[subject.pointer], limit)]
    if stiff and facts.switches.cranked_with_more and not cold:
        raise NotAssessable(facts.switches.cold_resistance)
    for cranked in cold or stiff:
        amps = cranked.point.given[subject.pointer]
        yield Unmet(
            f"{name} delivers {quantity(amps, 'A', limit)} while "
            f"{', '.join(cranked.starters)} cranks; limit {quantity(limit, 'A')}.",
            field="max-discharge-current",
            state=cranked.flown.state,
            numbers=(
                ("current", f"{quantity(amps, 'A', limit)} while {', '.join(cranked.starters)} cranks"),
                ("limit", quantity(limit, "A")),
                *facts.switches.cranking_basis(cranked.point),
            ),
        )
