"""The crew can take each alternator off the system.

Why: an alternator that burns, or whose regulator fails, has to be parted from the batteries in flight.

How judged: in the first state of normal flight in which it feeds a bus or another source, one switch moved, one breaker in reach pulled, or one declared
action must leave it feeding none of them. Relays and the field start as they were. A breaker that does not say whether it is in reach counts for nothing.

Not covered: an alternator whose own regulator goes on without its field feed once it has failed.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (("cfr-23-1351", "(c)(3), a means to disconnect each generator"),)
REMEDY = "Put a switch in the feed of the field, or a contactor or breaker in the output where the machine has no field."


def subjects(facts: Facts):
    return (
        [element for element, states in facts.sources.at_work.items() if states]
        if facts.design.operation
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    found = facts.sources.disconnection(subject.pointer)
    if found.ways:
        return
    if found.unreached:
        raise NotAssessable(f"`reach` of {' and '.join(found.unreached)}, which would take {name} off")
    yield Unmet(
        f"No switch, no breaker in reach and no declared action takes {name} off the system.",
        state=found.state,
    )
