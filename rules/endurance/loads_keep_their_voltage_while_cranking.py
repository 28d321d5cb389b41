"""What is switched on while the engine is cranked keeps the voltage that it needs.

Why: the starter pulls the bus down to 8 V and less; displays reset at the first turn, an engine computer stops, and an ignition short of volts fires at the
wrong moment and breaks the starter.

How judged: in each state with `engine: cranking` the volts are solved while the starter takes its `peak` current, from batteries of one and a half times
their resistance, the low end of what cold and age do (common practice, no source). What has power then must have its `minimum`. One that works on by its
`hold-up` for the whole phase passes; one that is off is not looked at. A channel of a critical function weighs more.

Not covered: the dip of the first milliseconds, batteries that are not full unless the file says so, and what a load does below its minimum.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the bus falls to 8 V to 10.5 V while cranking"),)
REMEDY = "Switch it off for the start, feed it from a battery that does not crank, or fit thicker starter cables or a larger battery."


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
    low = [
        c
        for c in facts.switches.cranked
        if _least(c, subject.pointer, facts) < part.minimum and not _bridged(part, c)
    ]
    if not low:
        for c in facts.switches.cranked:
            facts.switches.volts_known(
                c.flown.state, c.point, f"{name}.{part.supplies[0]}", f"{name}.{part.returns[0]}"
            )
        return
    worst = min(low, key=lambda c: c.point.across[subject.pointer])
    critical = (
        [f for f in facts.states.critical_functions if name in facts.states.loads_of(f)]
        if facts.design.functions
        else []
    )
    yield Unmet(
        f"{name} has {worst.point.across[subject.pointer]:.1f} V while {', '.join(worst.starters)} cranks and needs {part.minimum:g} V"
        + (f": {', '.join(critical)} may fail at the start." if critical else "."),
        field="minimum",
        state=worst.flown.state,
        numbers=(
            ("volts across it", f"{worst.point.across[subject.pointer]:.2f} V"),
            ("limit", f"{part.minimum:g} V"),
            ("starter", ", ".join(f"{worst.point.taken[f'parts/{s}']:.0f} A" for s in worst.starters)),
            *facts.switches.cranking_basis(worst.point, subject.pointer),
        ),
        hazard=HazardClass.MAJOR if critical else None,
    )


def _least(cranked, subject: str, facts: Facts) -> float:
    """Volts across a load that has power in the state; what has none is not looked at."""
    if not facts.states.answer(cranked.flown.state).healthy.powered[subject]:
        return float("inf")
    return cranked.point.across.get(subject, float("inf"))


def _bridged(part, cranked) -> bool:
    return part.hold_up is not None and cranked.seconds is not None and part.hold_up >= cranked.seconds
