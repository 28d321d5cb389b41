"""What is switched on while the engine cranks keeps its minimum voltage.

Why: the starter pulls the bus down to 8 V and less; displays reset, an engine computer stops, and
an ignition short of voltage fires at the wrong moment and breaks the starter.

How judged: in each state with `engine: cranking` the voltage is solved while the starter stands: a
resistance that takes its `peak` at its `peak-voltage`, else at 12 V (24 V in a 28 V system), and
never less than it cranks on. Batteries have their `cold-resistance`, else one and a half times
their resistance (both common practice, no source). Each powered load must have its `minimum`. A
load whose `hold-up` or `internal-battery` covers the whole phase passes; unpowered loads are not
judged. A channel of a critical function weighs more.

Not covered: the dip of the first milliseconds, batteries that are not full unless the file says so,
and behaviour below the minimum.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, quantity

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the bus falls to 8 V to 10.5 V while cranking"),)
REMEDY = (
    "Switch it off for the start, feed it from a battery that does not crank, or fit thicker starter "
    "cables or a larger battery."
)


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    on = [facts.states.answer(flown.state).healthy.powered for flown in facts.switches.flown_cranking]
    return [
        c.element
        for c in facts.network.consumers
        if c.element not in facts.switches.starters and any(powered[c.element] for powered in on)
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.minimum is None:
        raise NotAssessable(f"`minimum` of {name}")
    cranked = facts.switches.cranked
    low = [c for c in cranked if _least(c, subject.pointer, facts) < part.minimum and not _bridged(part, c)]
    if not low:
        ends = f"{name}.{part.supplies[0]}", f"{name}.{part.returns[0]}"
        for c in cranked:
            facts.switches.volts_known(c.flown.state, c.point, *ends)
        return
    worst = min(low, key=lambda c: c.point.across[subject.pointer])
    declared = facts.states.critical_functions if facts.design.functions else ()
    critical = [f for f in declared if name in facts.states.loads_of(f)]
    yield Unmet(
        f"{name} has {quantity(worst.point.across[subject.pointer], 'V', part.minimum)} while "
        f"{', '.join(worst.starters)} cranks; minimum {quantity(part.minimum, 'V')}"
        + (f". {', '.join(critical)} may fail at the start." if critical else "."),
        field="minimum",
        state=worst.flown.state,
        numbers=(
            ("voltage", quantity(worst.point.across[subject.pointer], "V", part.minimum)),
            ("limit", quantity(part.minimum, "V")),
            (
                "starter current",
                ", ".join(f"{s} {quantity(worst.point.taken[f'parts/{s}'], 'A')}" for s in worst.starters),
            ),
            *facts.switches.cranking_basis(worst.point, subject.pointer),
        ),
        hazard=HazardClass.MAJOR if critical else None,
    )


def _least(cranked, subject: str, facts: Facts) -> float:
    """Voltage of a powered load; infinite for an unpowered one, which is not judged."""
    if not facts.states.answer(cranked.flown.state).healthy.powered[subject]:
        return float("inf")
    return cranked.point.across.get(subject, float("inf"))


def _bridged(part, cranked) -> bool:
    return cranked.seconds is not None and part.bridging >= cranked.seconds
