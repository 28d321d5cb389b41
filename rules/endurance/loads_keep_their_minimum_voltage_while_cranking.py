"""Loads that are on while the engine cranks keep their minimum voltage.

Why: the starter pulls the bus down to 8 V and less. Displays reset, an engine computer stops, and
an ignition short of voltage fires at the wrong moment and breaks the starter.

How judged: in each state with `engine: cranking` the voltage is solved with the starter stalled. It
is a resistance that draws its `peak` at its `peak-voltage`, else at 12 V (24 V in a 28 V system),
and never less than its cranking current. Batteries have their `cold-resistance`, else 1.5 to 2
times their resistance (common practice, no published source), requested where that decides. Each
powered load must have its `minimum`, unless its `hold-up` or `internal-battery` covers the whole
phase. Without a phase its `internal-battery` must last 10 s, as a start button is held (common
practice, no published source). More severe: a critical function that no longer works with all loads
off that have too little voltage then, or whose `minimum` is not known.

Not covered: the dip of the first milliseconds, batteries that are not full unless the file says so,
and behaviour below the minimum.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, quantity

HAZARD, CONSEQUENCE = HazardClass.MINOR, "runs short"
CITATIONS = (("practice", "the bus falls to 8 V to 10.5 V while cranking"),)
REMEDY = "Switch it off for the start, feed it from a battery that does not crank, or fit a larger battery."


def subjects(facts: Facts):
    on = [facts.states.answer(flown.state).healthy.powered for flown in facts.switches.flown_cranking]
    return [
        c.element
        for c in facts.network.consumers
        if c.element not in facts.switches.starters and any(powered[c.element] for powered in on)
    ]


def judge(subject: Subject, facts: Facts):
    name, part = subject.name, subject.part(facts.design)
    if part.minimum is None:
        raise NotAssessable(f"`minimum` of {name}")
    low = facts.switches.low_at_start(subject.pointer)
    if not low:
        if facts.switches.low_at_start(subject.pointer, with_more=True):
            raise NotAssessable(facts.switches.cold_resistance)
        ends = f"{name}.{part.supplies[0]}", f"{name}.{part.returns[0]}"
        for c in facts.switches.cranked:
            facts.switches.volts_known(c.flown.state, c.point, *ends)
        return
    worst = min(low, key=lambda c: c.point.across[subject.pointer])
    volts = quantity(worst.point.across[subject.pointer], "V", part.minimum)
    amps = ", ".join(f"{s} {quantity(worst.point.taken[f'parts/{s}'], 'A')}" for s in worst.starters)
    weigh = facts.design.functions and name in facts.wires.critical_loads
    held = facts.switches.lost_at_start(subject.pointer, worst.flown.state) if weigh else ()
    path = facts.states.path_to(worst.flown.state, subject.pointer)
    battery, remedy = _battery(worst, path, part.minimum)
    yield Unmet(
        f"{name} has {volts} while {', '.join(worst.starters)} cranks; minimum {quantity(part.minimum, 'V')}"
        + (f". {', '.join(held)} may fail at the start." if held else "."),
        field="minimum",
        state=worst.flown.state,
        elements=path,
        changes=(f"{subject.pointer}/minimum", *battery),
        remedy=remedy,
        numbers=(
            *(("voltage", volts), ("limit", quantity(part.minimum, "V")), ("starter current", amps)),
            *facts.switches.cranking_basis(worst.point, subject.pointer),
        ),
        hazard=HazardClass.MAJOR if held else None,
    )


def _battery(worst, path, minimum: float):
    """The key of the battery that feeds a load, if its own terminals have too little, and the remedy."""
    name = bare(path[0]) if path else ""
    plus, minus = (worst.point.volts.get(f"{name}.{pole}") for pole in ("positive", "negative"))
    if None in (plus, minus):
        return (), ""
    has = f"{name}, which has {quantity(plus - minus, 'V', minimum)} at its terminals then,"
    if plus - minus >= minimum:
        return (), f"Switch it off for the start, or feed it from {has} by wires of its own."
    other, least = f"feed it from a battery other than {has}", quantity(minimum, "V")
    return (f"{path[0]}/capacity",), f"Switch it off for the start, {other} or fit one that holds {least}."
