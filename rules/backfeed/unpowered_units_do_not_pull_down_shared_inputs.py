"""No unpowered unit pulls down an input that it shares with a powered unit.

Why: the pull-up of the powered unit feeds the unpowered one through its input, which holds the line
low: the contact seems closed, and the unpowered unit is partly energised.

How judged: from each input that reads `closed-to-ground`, or that has a pull-up, the line is
followed by conductors, circuit protection and along diodes to inputs of other instruments. None of
these may be unpowered, in a declared state or after a single failure in flight, while the first is
powered. A diode in the lead, cathode to the contact, keeps them apart. Not assessed if the file
does not say whether an input has a pull-up.

Not covered: units that isolate their inputs when unpowered; outputs that drive another unit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a diode in the lead of each unit where two units share a contact"),)
REMEDY = "Put a diode in the lead of each unit, cathode towards the contact, or use a two-pole contact."


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
            unsaid.append(dragged.input)
            continue
        yield Unmet(
            f"Input {dragged.input} of {name} is shared with {dragged.other}: with {dragged.other} "
            "unpowered the input is held low.",
            field="inputs",
            state=dragged.state,
            failure=dragged.failure,
            numbers=(("unpowered unit", dragged.other),),
        )
    if unsaid:
        words = ", ".join(f"`reads` of input {key} of {name}" for key in unsaid)
        raise NotAssessable(words, [(f"{subject.pointer}/inputs/{key}", "reads") for key in unsaid])
