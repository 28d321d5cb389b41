"""A connector in a circuit of a critical function can be seen without taking structure off.

Why: a half-mated connector holds until it is shaken; one that nobody can see is found by the engine stopping.

How judged: for each connector with a pin on whose circuit a load or instrument of a hazardous or catastrophic function hangs: `inspected` says what
must come off to see that it is mated. A panel may.

Not covered: how often it is looked at.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "connectors of engine circuits are looked at without taking structure off"),
    ("ntsb", "event 20210617103279, a connector of an ignition came apart where it was hard to inspect"),
)
REMEDY = "Move the connector to where it can be seen, or cut an inspection opening."


def subjects(facts: Facts):
    if not facts.wires.critical_loads:
        return []
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
        loads = sorted(
            facts.wires.critical_loads.intersection(
                u for users in facts.wires.pin_users(name).values() for u in users
            )
        )
        yield Unmet(
            f"Structure must come off to see that {name} is mated, and {', '.join(loads)} rests on it.",
            field="inspected",
        )
