"""The voltage drop to each load at its peak current stays within the intermittent limit.

Why: flaps that stall, a radio that resets when it transmits and a pump that will not start often
have wires sized for the average current.

How judged: for each load with a `peak`, and each intermittent one, against AC 43.13-1B Table 11-6,
intermittent. The voltage drop is that from the bus to the load and back at its peak, with all
others at their usual current. It is taken in the operating state with the largest drop; if the load
is fed in none, with one switch moved from the normal state. The drop of diodes and fixed resistors
is not counted. A load that has power only while the engine is cranked, as a lamp beside the
starter, is judged by loads-keep-their-minimum-voltage-while-cranking.

Not covered: the starter (another rule), and momentary inrush.
"""

from reviewer.rulebook import (
    A_STATE,
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    allowed_drop,
    exceeds,
    parts,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "runs short"
CITATIONS = (("ac-43-13-1b", "Table 11-6 (intermittent), limit by nominal voltage"),)
REMEDY = "Use a larger wire where the drop is largest, shorten the run, or remove a contact from it."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Consumer)]
    return [
        f"parts/{n}"
        for n, p in loads
        if (p.peak or p.duty == "intermittent") and n not in facts.design.starters
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).peak is None:
        raise NotAssessable(f"`peak` of {name}: what it draws when operated")
    limit = allowed_drop(facts.design.class_of(name), "intermittent")
    if small := facts.wires.small_peak(subject.pointer, limit.value):
        if lacks := facts.wires.lacking(small[0], (subject.pointer, *small[1].elements)):
            raise NotAssessable(f"{lacks}, for the voltage drop to the loads")
        return
    found = facts.wires.large_peak_runs.get(subject.pointer)
    if found is None:
        fed = [a.state for a in facts.states.answers() if a.healthy.powered[subject.pointer]]
        if fed and all(state.engine == "cranking" for state in fed):
            return
        raise NotAssessable(f"a state in which {name} is fed", A_STATE)
    if isinstance(found, NotAssessable):
        raise found
    run, place = found.run, found.place
    if not exceeds(run.volts, limit.value):
        if found.lacks:
            raise NotAssessable(f"{found.lacks}, for the voltage drop to the loads")
        return
    drop, *shares = facts.wires.drop_numbers(run, limit.value)
    yield Unmet(
        f"Voltage drop to {name} {quantity(run.volts, 'V', limit.value)} at its peak in {place}; "
        f"limit {quantity(limit.value, 'V')} (intermittent).",
        field="peak",
        state="" if place.moved else place.answer.state.name,
        switches=place.answer.switches if place.moved else (),
        path=run.elements,
        changes=facts.wires.thickened(run, limit.value),
        remedy=f"{facts.wires.larger_wire(run, limit.value)}, shorten the run, or remove a contact from it.",
        numbers=(drop, ("limit", f"{quantity(limit.value, 'V')}, {limit.origin}"), *shares),
        hazard=facts.wires.hazard_of(subject.pointer, HazardClass.MAJOR),
    )
