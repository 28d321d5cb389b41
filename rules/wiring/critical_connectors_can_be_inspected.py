"""A connector in a critical circuit can be inspected without removing structure.

Why: a half-mated connector holds until it is shaken; one that nobody can see is found when the
engine stops.

How judged: each connector with a pin in the circuit of a load or instrument of a function of
hazardous or catastrophic loss. Its `inspected` says what must be removed to see that it is mated.
Removing a panel is accepted.

Not covered: how often it is inspected.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("practice", "connectors of engine circuits are inspected without removing structure"),
    ("ntsb", "event 20210617103279, a connector of an ignition came apart where it was hard to inspect"),
)
REMEDY = "Move the connector to where it can be seen, or cut an inspection opening."


def subjects(facts: Facts):
    names = facts.design.of_kind(parts.Connector)
    return [
        f"parts/{n}"
        for n in names
        if any(facts.wires.critical_loads.intersection(users) for users in facts.wires.pin_users(n).values())
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    inspected = subject.part(facts.design).inspected
    if inspected is None:
        raise NotAssessable(f"`inspected` of {name}")
    if inspected == "structure-off":
        users = {u for users in facts.wires.pin_users(name).values() for u in users}
        loads = [n for n in facts.design.parts if n in users & facts.wires.critical_loads]
        yield Unmet(
            f"Connector {name} of {', '.join(loads)} cannot be inspected without removing structure.",
            field="inspected",
            numbers=(("critical circuits", ", ".join(loads)),),
        )
