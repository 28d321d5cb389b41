"""The voltage drop to each load at its usual current stays within the continuous limit.

Why: what drops on the way is missing at the radio, the pump and the heater, and a lost volt is
often a bad joint before it is a thin wire.

How judged: for each continuous load, in each flown state without cranking: the drop from the bus to
the load and from its return to the source (wires, contacts, circuit protection, pins), against AC
43.13-1B Table 11-6, continuous. Without a bus between, the run begins at the source. Diode drops
are left out and listed. A load without `duty` is judged by the intermittent limit, and asked for
where it exceeds the continuous one.

Not covered: the starter and intermittent loads (other rules), and the drop from a source to its
bus.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, allowed_drop, beside, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("ac-43-13-1b", "11-66 and Table 11-6, continuous"),)
REMEDY = "Use a larger wire where the drop is largest, shorten the run, or remove a contact from it."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = facts.design.of_kind(parts.Consumer)
    fed = [
        f"parts/{n}"
        for n in loads
        if facts.design.parts[n].duty != "intermittent"
        and getattr(facts.design.parts[n], "type", None) != "starter"
    ]
    return [load for load in fed if facts.wires.fed_while_running(load)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    limit = allowed_drop(facts.design.aircraft.nominal, "continuous")
    runs = facts.wires.steady_runs.get(subject.pointer, ())
    worst = max(runs, key=lambda entry: entry[1].volts, default=None)
    if worst is None or worst[1].volts <= limit.value + 1e-9:
        for flown in (entry[0] for entry in runs) if runs else facts.wires.steady:
            if lacks := facts.wires.lacking(flown, (subject.pointer, *(worst[1].elements if worst else ()))):
                raise NotAssessable(f"{lacks}, for the voltage drop to the loads")
        return
    flown, run = worst
    if (
        subject.part(facts.design).duty is None
        and run.volts <= allowed_drop(facts.design.aircraft.nominal, "intermittent").value
    ):
        raise NotAssessable(
            f"`duty` of {name}: its voltage drop of {run.volts:.2f} V is within the intermittent limit only"
        )
    drop, *shares = facts.wires.drop_numbers(run)
    yield Unmet(
        f"Voltage drop to {name} {beside(run.volts, limit.value, '.2f')} V in {flown}; limit "
        f"{limit.value:g} V (continuous).",
        state=flown.state,
        path=run.elements,
        numbers=(
            drop,
            ("limit", f"{limit.value:g} V"),
            *shares,
            *facts.wires.typical_behind(flown, run.elements),
        ),
        hazard=facts.wires.hazard_of(subject.pointer, HazardClass.MAJOR),
    )
