"""A relay that is in while the engine is cranked stays in when the starter pulls the voltage down.

Why: a contactor that lets go under the starter's current and pulls in again burns its contacts, and with the battery contactor everything behind it resets.

How judged: in each state with `engine: cranking` the volts are solved while the starter takes its `peak` current, from batteries of one and a half times
their resistance, the low end of what cold and age do (common practice, no source). Each coil that is energised must have more than its `drop-out`.

Not covered: vibration, and a coil that is hotter than its maker's figure allows for.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the bus falls to 8 V to 10.5 V while cranking"),)
REMEDY = "Feed the coil from the battery's post, use a relay that lets go at a lower voltage, or fit thicker starter cables."


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    on = [facts.states.answer(flown.state).healthy.energised for flown in facts.switches.flown_cranking]
    return [c.element for c in facts.network.coils if any(energised[c.element] for energised in on)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    least = part.drop_out
    if least is None:
        raise NotAssessable(f"`drop-out` of {name}")
    for cranked in facts.switches.cranked:
        if not facts.states.answer(cranked.flown.state).healthy.energised[subject.pointer]:
            continue
        volts = facts.switches.coil_volts(cranked.point, name)
        if volts > least:
            facts.switches.volts_known(
                cranked.flown.state, cranked.point, *(f"{name}.{t}" for t in part.coil)
            )
        else:
            yield Unmet(
                f"{name} has {volts:.1f} V at its coil while {', '.join(cranked.starters)} cranks and may let go at {least:g} V.",
                field="drop-out",
                state=cranked.flown.state,
                numbers=(
                    ("volts at its coil", f"{volts:.2f} V"),
                    ("limit", f"{least:g} V"),
                    *facts.switches.cranking_basis(cranked.point, subject.pointer),
                ),
            )
