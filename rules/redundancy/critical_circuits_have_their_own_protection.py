"""The circuit protection of a critical circuit protects no other circuit.

Why: a fault in a lamp or a radio then opens the breaker of an ignition or a fuel pump.

How judged: for each load that a function of hazardous or catastrophic loss depends on, the nearest
breakers, fuses and current limiters in every declared state. No other load may depend on one of
them without protection of its own, unless the critical load keeps working on another feed when it
opens.

Not covered: loads that are channels of one function (redundant-channels-share-no-circuit-protection
covers those that back each other up; where all are needed, losing one is as grave as losing all),
coils and fields.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, rated

HAZARD = HazardClass.MAJOR
CITATIONS = (
    (
        "cfr-23-1357",
        "(b), the protective device of an essential circuit protects no other; the lights of one system may "
        "share",
    ),
)
REMEDY = "Give the critical load its own breaker or fuse."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.needed_protectors]


def judge(subject: Subject, facts: Facts):
    shared = facts.protection.shared_circuits.get(subject.name)
    if shared:
        yield Unmet(
            f"{rated(shared.protector, facts.design.parts[shared.protector])} protects {shared.load}, needed "
            f"for {shared.function}, and also {' and '.join(shared.others)}: a fault there opens it.",
            state=shared.state,
            failure=f"a fault in {' or '.join(shared.others)}",
            path=facts.states.path_to(shared.state, f"parts/{shared.load}", f"parts/{shared.protector}"),
        )
