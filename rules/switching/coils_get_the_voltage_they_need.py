"""A coil that is energised gets enough voltage to pull in, and no more than it endures.

Why: a relay that does not quite pull in chatters and burns; one that is overfed burns its coil.

How judged: in each declared state, with the figures of each phase flown in it, the volts across each energised coil are solved: at least its `pull-in` and at
most its `coil-most`. While the engine is cranked the starter takes its `current`. States of flight on batteries alone are solved a second time, with 11.0 V
(22.0 V) held at the posts. Pull-in means of the hot coil: a coil that is hot needs about a quarter more than a cold one (common practice, no source).

Not covered: the moment at which the starter breaks away, and how long a coil is energised.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "pull-in is 0.65 to 0.75 of the nominal voltage, and a coil endures 1.2 of it"),)
REMEDY = "Use a relay for this voltage, thicker or shorter wire to its coil, or feed the coil from nearer to the battery."


def subjects(facts: Facts):
    return (
        [
            c.element
            for c in facts.network.coils
            if any(a.healthy.energised[c.element] for a in facts.states.answers())
        ]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    missing = [
        f"`{key}`"
        for key, value in (("pull-in", part.pull_in), ("coil-most", part.coil_most))
        if value is None
    ]
    if missing:
        raise NotAssessable(f"{' and '.join(missing)} of {name}")
    at = facts.switches.energised_at(name)
    for _, state, _, point in at:
        facts.switches.volts_known(state, point, *(f"{name}.{t}" for t in part.coil))
    low, high = min(at, key=lambda one: one[0]), max(at, key=lambda one: one[0])
    for (volts, state, where, point), limit, wrong, key, words in (
        (low, part.pull_in, low[0] < part.pull_in, "pull-in", "needs"),
        (high, part.coil_most, high[0] > part.coil_most, "coil-most", "endures"),
    ):
        if wrong:
            yield Unmet(
                f"{name} has {volts:.1f} V at its coil in {where} and {words} {limit:g} V.",
                field=key,
                state=state,
                numbers=(
                    ("volts at its coil", f"{volts:.2f} V"),
                    ("limit", f"{limit:g} V"),
                    *facts.wires.typical_in(point, (subject.pointer,)),
                ),
            )
