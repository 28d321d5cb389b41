"""An energised coil has at least its pickup voltage and at most its maximum voltage.

Why: a relay that does not quite pick up chatters and burns; an overvoltage burns its coil.

How judged: in each declared state, with the loads of each phase flown in it, the voltage at each
energised coil is solved. It is at least its `pickup-voltage`, at most its `max-coil-voltage`. While
cranking the starter draws its `current`. Flight states on batteries alone are solved again with
11.0 V (22.0 V) at the battery terminals. Pickup voltage is that of the hot coil: a quarter above
that of a cold one (common practice, no published source). A relay that a full battery does not pick
up has the lowest voltage that the regulator may hold (common practice, no published source).

Not covered: starter inrush, and how long a coil is energised.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, higher, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "pickup at 0.65 to 0.75 of nominal voltage, coil maximum 1.2 of it"),)
REMEDY = (
    "Use a relay for this voltage, thicker or shorter wire to its coil, or feed the coil from nearer "
    "the battery."
)


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
        for key, value in (
            ("pickup-voltage", part.pickup_voltage),
            ("max-coil-voltage", part.max_coil_voltage),
        )
        if value is None
    ]
    if missing:
        raise NotAssessable(f"{and_list(missing)} of {name}")
    at = facts.switches.energised_at(name)
    for _, state, _, point in at:
        facts.switches.volts_known(state, point, *(f"{name}.{t}" for t in part.coil))
    low, high = min(at, key=lambda one: one[0]), max(at, key=lambda one: one[0])
    for (volts, state, where, point), limit, wrong, key, words in (
        (low, part.pickup_voltage, higher(part.pickup_voltage, low[0]), "pickup-voltage", "pickup voltage"),
        (high, part.max_coil_voltage, higher(high[0], part.max_coil_voltage), "max-coil-voltage", "maximum"),
    ):
        if wrong:
            yield Unmet(
                f"Coil of {name} has {quantity(volts, 'V', limit)} in {where}; {words} "
                f"{quantity(limit, 'V')}.",
                field=key,
                state=state,
                consequence="can burn" if key == "max-coil-voltage" else "",
                changes=tuple(
                    f"{subject.pointer}/{k}" for k in (key, *(["feed"] if key == "pickup-voltage" else []))
                ),
                path=facts.states.path_to(state, subject.pointer),
                numbers=(
                    ("coil voltage", quantity(volts, "V", limit)),
                    ("limit", quantity(limit, "V")),
                    *facts.wires.typical_in(point, (subject.pointer,)),
                ),
            )
