"""Every check before flight would notice a failure, and those that it is to prove absent.

Why: a check that passes whatever has failed gives comfort and nothing else.

How judged: in the state of the check, at least one single failure must change what it watches: a monitor's reading, or whether a function, a load or a bus is
alive. What it lists under `proves` must change it when open, a diode when open or shorted through.

Not covered: whether what is expected can be told from what is seen, and whether the crew does the check.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "a check is proved by trying it with the failure there"),
    ("ntsb", "CEN23LA014, no procedure tested the backup"),
)
REMEDY = "Set the switches so that what is checked alone feeds what is watched, or watch something that depends on it."


def subjects(facts: Facts):
    return [f"watch/checks/{n}" for n in facts.design.watch.checks if facts.states.declared]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    check = facts.design.watch.checks[name]
    found = facts.detection.check_evidence(name)
    if found.misses:
        missed = ", ".join(bare(e) for e in found.misses)
        yield Unmet(
            f"{name} looks the same with {missed} open, which it is to prove sound.",
            field="proves",
            state=check.state,
            failure="open",
        )
    elif not found.notices:
        yield Unmet(f"{name} would look the same whatever had failed.", field="watch", state=check.state)
