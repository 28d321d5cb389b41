"""The wires to each load and back lose no more than the drop allowed for short times while it draws its peak.

Why: flaps that stall, a radio that resets when it transmits and a pump that will not start are often a run that was sized for the average current.

How judged: for each load with a `peak`, and each that is used for short times: the volts lost from the bus to it and back while it takes its peak and all
others their usual current, against AC 43.13-1B Table 11-6, intermittent. In the flown state in which its run loses most; where it is fed in none, with
one switch moved from the dispatch state. Diodes are left out.

Not covered: the starter (a rule of its own), and what lasts only a moment.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, allowed_drop, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("ac-43-13-1b", "11-66 and Table 11-6, intermittent (from memory)"),)
REMEDY = "Use a larger wire where most is lost, shorten the run, or take a contact out of it."


def subjects(facts: Facts):
    if facts.wires.no_sizes:
        return []
    loads = [(n, facts.design.parts[n]) for n in facts.design.of_kind(parts.Consumer)]
    return [
        f"parts/{n}"
        for n, p in loads
        if (p.peak or p.used == "intermittent") and getattr(p, "type", None) != "starter"
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).peak is None:
        raise NotAssessable(f"`peak` of {name}: what it draws while it is used")
    limit = allowed_drop(facts.design.aircraft.nominal, "intermittent")
    if small := facts.wires.small_peak(subject.pointer, limit.value):
        if lacks := facts.wires.lacking(small[0], (subject.pointer, *small[1].elements)):
            raise NotAssessable(f"{lacks}, to know what is lost on the way to the loads")
        return
    found = facts.wires.large_peak_runs.get(subject.pointer)
    if found is None:
        raise NotAssessable(f"a state in which {name} is fed")
    if isinstance(found, NotAssessable):
        raise found
    run, place = found.run, found.place
    if run.volts <= limit.value + 1e-9:
        if found.lacks:
            raise NotAssessable(f"{found.lacks}, to know what is lost on the way to the loads")
        return
    yield Unmet(
        f"On the way to {name} and back {run.volts:.2f} V are lost at its peak in {place}, of {limit.value:g} V that are allowed for short times.",
        field="peak",
        state="" if place.moved else place.answer.state.name,
        switches=place.answer.switches if place.moved else (),
        path=run.elements,
        numbers=(*facts.wires.drop_numbers(run), ("limit", f"{limit.value:g} V, {limit.origin}")),
        hazard=facts.wires.hazard_of(subject.pointer, HazardClass.MAJOR),
    )
