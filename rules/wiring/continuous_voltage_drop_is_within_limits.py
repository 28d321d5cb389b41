"""The voltage drop to each load at its usual current stays within the continuous limit.

Why: what is dropped on the run is missing at the radio, the pump and the heater. A lost volt is
often a bad joint before it is a thin wire.

How judged: for each continuous load, in each operating state except cranking, against AC 43.13-1B
Table 11-6, continuous. The drop is that from the bus to the load and from its return to the source
(wires, contacts, circuit protection, pins). Without a bus between, the run begins at the source.
The drop of diodes and fixed resistors is not counted, and is listed. A load without `duty` is
continuous where it is on through a phase of more than 5 min. Else it is judged by the intermittent
limit, and `duty` is requested where it exceeds the continuous one.

Not covered: the starter and intermittent loads (other rules); the drop from a source to its bus.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    allowed_drop,
    parts,
    practice,
    quantity,
)

HAZARD, CONSEQUENCE = HazardClass.MINOR, "runs short"
CITATIONS = (
    ("ac-43-13-1b", "11-66 and Table 11-6, continuous"),
    ("practice", "a load that is on for more than 5 min is continuous"),
)
REMEDY = "Use a larger wire where the drop is largest, shorten the run, or remove a contact from it."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = {n: facts.design.parts[n] for n in facts.design.of_kind(parts.Consumer)}
    steady = [n for n, part in loads.items() if part.duty != "intermittent"]
    fed = [f"parts/{n}" for n in steady if n not in facts.design.starters]
    return [load for load in fed if facts.wires.fed_while_running(load)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    limit = allowed_drop(facts.design.class_of(name), "continuous")
    runs = facts.wires.steady_runs.get(subject.pointer, ())
    worst = max(runs, key=lambda entry: entry[1].volts, default=None)
    if worst is None or worst[1].volts <= limit.value + 1e-9:
        for flown in (entry[0] for entry in runs) if runs else facts.wires.steady:
            if lacks := facts.wires.lacking(flown, (subject.pointer, *(worst[1].elements if worst else ()))):
                raise NotAssessable(f"{lacks}, for the voltage drop to the loads")
        return
    flown, run = worst
    short = allowed_drop(facts.design.class_of(name), "intermittent").value
    if subject.part(facts.design).duty is None and run.volts <= short:
        lasting = [r for r in runs if r[1].volts > limit.value + 1e-9 and _lasts(r[0].phase, facts)]
        if not lasting:
            raise NotAssessable(
                f"`duty` of {name}: its {quantity(run.volts, 'V')} are within the intermittent limit only"
            )
        flown, run = max(lasting, key=lambda entry: entry[1].volts)
    drop, *shares = facts.wires.drop_numbers(run, limit.value)
    shares += facts.wires.typical_behind(flown, run.elements)
    yield Unmet(
        f"Voltage drop to {name} {quantity(run.volts, 'V', limit.value)} in {flown}; limit "
        f"{quantity(limit.value, 'V')} (continuous).",
        state=flown.state,
        path=run.elements,
        changes=facts.wires.thickened(run, limit.value),
        remedy=f"{facts.wires.larger_wire(run, limit.value)}, shorten the run, or remove a contact from it.",
        numbers=(drop, ("limit", quantity(limit.value, "V")), *shares),
        hazard=facts.wires.hazard_of(subject.pointer, HazardClass.MAJOR),
    )


def _lasts(phase, facts: Facts) -> bool:
    phases, least = facts.states.operation.phases, practice("minutes", "continuous-load").high
    return phase in phases and (phases[phase].duration or 0) > least * 60
