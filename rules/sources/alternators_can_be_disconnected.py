"""The crew can disconnect each alternator from the system.

Why: an alternator that burns, or whose regulator fails, must be disconnected from the batteries in
flight.

How judged: one switch moved, one accessible breaker pulled, or one declared action must leave it
feeding no bus and no other source. That is tried in the first normal flight state in which it feeds
one. Relays and the field start as they were. A breaker accessible on the ground only stays closed,
in an action too; one that does not say whether it is accessible does not count.

Not covered: an alternator whose internal regulator keeps running without its field feed after a
failure.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "on when not wanted"
CITATIONS = (("cfr-23-1351", "(c)(3), a means to disconnect each generator"),)
REMEDY = (
    "Put a switch in the field feed, or a contactor or breaker in the output of a machine without a field."
)


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
        raise NotAssessable(f"`accessible` of {and_list(found.unreached)}, which would disconnect {name}")
    yield Unmet(
        f"{name} cannot be disconnected in flight: no switch, accessible breaker or declared action does it.",
        state=found.state,
        changes=(f"{subject.pointer}/control", *_leads(subject, facts)),
    )


def _leads(subject: Subject, facts: Facts) -> list[str]:
    """The output leads of a machine without a field, where circuit protection disconnects it."""
    if not subject.part(facts.design).magnets:
        return []
    at, wires = f"{subject.name}.output", facts.design.wires
    return [f"wires/{name}/protection" for name, wire in wires.items() if at in (wire.from_, wire.to)]
