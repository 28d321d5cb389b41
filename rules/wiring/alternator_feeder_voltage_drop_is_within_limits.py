"""The feeder from an alternator to its bus drops at most 2 % of its voltage at its rated output.

Why: what the feeder drops is missing at every load and at the battery, which is then never full. A
regulator that senses the bus makes it up, and the alternator runs hotter for it.

How judged: the drop at its rated current over the resistance of the wires at 20 C from its output
to the nearest bus; limit 2 % of its set point. Wires in parallel count so, in the first normal
flight state in which it feeds a bus.

Not covered: contacts, circuit protection and shunts in the feeder, its return, the feeder from a
battery to the bus, and feeders to further buses.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    exceeds,
    parts,
    percent,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "runs short"
CITATIONS = (("faa-h-8083-31", "chapter 9, source to bus at most 2 % of the regulated voltage"),)
REMEDY = "Use a heavier or shorter feeder, or a second wire beside it."


def subjects(facts: Facts):
    drawn = not facts.wires.no_sizes and facts.states.declared
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)] if drawn else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).rating is None:
        raise NotAssessable(f"`rating` of {name}")
    found = facts.wires.feeder_drop(subject.pointer)
    if found is None:
        return
    share = facts.wires.feeder_share
    limit = share * found.regulated
    if exceeds(found.volts, limit):
        yield Unmet(
            f"Voltage drop in the wires from {name} to {found.bus} {quantity(found.volts, 'V', limit)} at "
            f"{quantity(found.amperes, 'A')}; limit {quantity(limit, 'V', found.volts)}.",
            path=(subject.pointer, *found.wires, f"parts/{found.bus}"),
            state=found.state,
            changes=facts.wires.thinnest(found.wires),
            numbers=(
                ("voltage drop", quantity(found.volts, "V")),
                ("limit", f"{quantity(limit, 'V')} ({percent(share)} of {quantity(found.regulated, 'V')})"),
                ("wires", ", ".join(map(bare, found.wires))),
            ),
        )
    elif found.missing:
        wire, key = found.missing[0]
        raise NotAssessable(f"{key} of {bare(wire)}, for the voltage drop of the feeder")
