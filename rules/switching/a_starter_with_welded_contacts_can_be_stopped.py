"""A starter whose contactor has welded can be stopped by another switch.

Why: a contactor that welds at the start keeps the starter turning with the running engine until it
burns or the battery is empty. The master stops it only if its contactor is upstream.

How judged: the contacts of each relay, contactor and switch in the circuit of a starter are welded
closed, one at a time. The switches are set to every legal combination, engine stopped, no external
power, spring-return positions released. The starter must stop in one of them. Circuit protection
rated below its current opens.

Not covered: a starter without `type: starter`, a pinion that stays engaged without power, two
devices welded at once, and what else goes off with the master.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("practice", "the starter contactor is fed from the load side of the battery contactor"),)
REMEDY = "Feed the starter contactor from the load side of the battery contactor, which the master opens."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.starters] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    found = facts.switches.unstopped_starter(subject.pointer)
    if found is None:
        return
    if not found.welded:
        yield Unmet(f"{subject.name} runs in every setting of the switches.")
        return
    yield Unmet(
        f"Welded contacts of {bare(found.welded)} keep {subject.name} running: no switch stops it.",
        failure="contacts welded closed",
        path=(found.welded, subject.pointer),
    )
