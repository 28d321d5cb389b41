"""No input on a contact is joined to the input of a unit that can be without power while the first one works.

Why: the first unit's pull-up feeds the dark one through its input, which holds the line low: the contact seems closed, and the dark unit half wakes.

How judged: from each input that reads `closed-to-ground`, or that has a pull-up, the line is followed by conductors, protectors and along diodes to
inputs of other instruments. None of these may be without power, in a declared state or after a single failure in flight, while the first one
works. A diode in the lead that points to the contact keeps them apart. Where nothing says whether an input pulls up, this is not assessed.

Not covered: units that isolate their inputs without power; what one unit drives into another.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "a diode in the lead of each unit where two units share a contact"),)
REMEDY = (
    "Put a diode into the lead of each unit, cathode towards the contact, or use a contact with two poles."
)


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.grounds.dragged_inputs]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    unsaid = []
    for dragged in facts.grounds.dragged_inputs[name]:
        entry = subject.part(facts.design).inputs[dragged.input]
        if entry.reads in ("voltage", "closed-to-supply"):
            continue
        if entry.reads is None and entry.pull_up is None:
            unsaid.append(f"`reads` of input {dragged.input} of {name}")
            continue
        yield Unmet(
            f"Input {dragged.input} of {name} is joined to an input of {dragged.other}: while that has no power, the input is held low.",
            field="inputs",
            state=dragged.state,
            failure=dragged.failure,
        )
    if unsaid:
        raise NotAssessable(", ".join(unsaid))
