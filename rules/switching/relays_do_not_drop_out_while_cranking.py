"""A relay energised while the engine cranks does not drop out at the cranking voltage.

Why: a contactor that drops out under the starter current and picks up again burns its contacts; a
battery contactor resets everything behind it.

How judged: in each state with `engine: cranking` the voltage is solved with the starter stalled. It
is a resistance that draws its `peak` at its `peak-voltage`, else at 12 V (24 V in a 28 V system),
and never less than its cranking current. Batteries have their `cold-resistance`, else one and a
half to two times their resistance (common practice, no published source), requested where that
decides. Each energised coil must have more than its `dropout-voltage`.

Not covered: vibration, and a coil hotter than its data sheet allows for.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "the bus falls to 8 V to 10.5 V while cranking"),)
REMEDY = (
    "Feed the coil from the battery terminal, use a relay with a lower dropout voltage, or fit thicker "
    "starter cables."
)


def subjects(facts: Facts):
    on = [facts.states.answer(flown.state).healthy.energised for flown in facts.switches.flown_cranking]
    return [c.element for c in facts.network.coils if any(energised[c.element] for energised in on)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    least = part.dropout_voltage
    if least is None:
        raise NotAssessable(f"`dropout-voltage` of {name}")
    cranked = facts.switches.cranked
    low = [c for c in cranked if not exceeds(_volts(c, subject, facts), least)]
    if not low and any(
        not exceeds(_volts(c, subject, facts), least) for c in facts.switches.cranked_with_more
    ):
        raise NotAssessable(facts.switches.cold_resistance)
    for one in cranked:
        state, volts = one.flown.state, _volts(one, subject, facts)
        if one not in low and facts.states.answer(state).healthy.energised[subject.pointer]:
            facts.switches.volts_known(state, one.point, *(f"{name}.{t}" for t in part.coil))
        elif one in low:
            yield Unmet(
                f"Coil of {name} has {quantity(volts, 'V', least)} while "
                f"{', '.join(one.starters)} cranks; dropout voltage {quantity(least, 'V')}.",
                field="dropout-voltage",
                state=state,
                changes=(f"{subject.pointer}/dropout-voltage", f"{subject.pointer}/feed"),
                path=facts.states.path_to(state, subject.pointer),
                numbers=(
                    ("cranking", ", ".join(one.starters)),
                    ("coil voltage", quantity(volts, "V", least)),
                    ("limit", quantity(least, "V")),
                    *facts.switches.cranking_basis(one.point, subject.pointer),
                ),
            )


def _volts(cranked, subject: Subject, facts: Facts) -> float:
    """Volts across an energised coil; infinite for another one, which is not judged."""
    if not facts.states.answer(cranked.flown.state).healthy.energised[subject.pointer]:
        return float("inf")
    return facts.switches.coil_volts(cranked.point, subject.name)
