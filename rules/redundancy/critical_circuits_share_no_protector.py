"""The protector of a critical circuit protects no other circuit.

Why: a fault in a lamp or a radio then opens the breaker of an ignition or of a fuel pump.

How judged: for each load on which a function rests whose loss is hazardous or worse, the protectors nearest to it in every declared state; no other load
may hang on one of them with no protector of its own, unless the critical load works on by another feed when it opens.

Not covered: loads that are channels of one function (where they stand in for each other, redundant-channels-share-no-protector tells of it; where all of
them are wanted, one is as grave as all), coils and fields.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (
    (
        "cfr-23-1357",
        "(b), the protector of an essential circuit protects no other; the lights of one system may share",
    ),
)
REMEDY = "Give the critical load a protector of its own."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.needed_protectors]


def judge(subject: Subject, facts: Facts):
    shared = facts.protection.shared_circuits.get(subject.name)
    if shared:
        yield Unmet(
            f"{shared.protector} protects {shared.load}, on which {shared.function} rests, and {' and '.join(shared.others)} too.",
            state=shared.state,
            failure=f"a fault in {shared.others[0]}",
        )
