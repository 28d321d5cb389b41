"""A connector that carries a circuit of a critical function carries no other circuit.

Why: who unplugs it to work on the other circuit may leave the engine's circuit half mated; one loose body then stops what the engine needs.

How judged: from each pin the circuit is followed both ways to the next bar, ground or source. A pin on whose circuit a load or instrument of a
hazardous or catastrophic function hangs is critical; pins whose circuits serve other users only may not be in the same body. A spare pin is
nothing, and pins of several critical functions may be together.

Not covered: whether two channels of one function share the body, which another rule tells.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "engine circuits have connectors of their own"),
    ("ntsb", "ERA22LA322, one connector for both units of an ignition"),
)
REMEDY = "Give the other circuits a connector of their own."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Connector)] if facts.wires.critical_loads else []


def judge(subject: Subject, facts: Facts):
    pins = facts.wires.pin_users(subject.name)
    critical = {pin: users for pin, users in pins.items() if facts.wires.critical_loads.intersection(users)}
    others = {pin: users for pin, users in pins.items() if users and pin not in critical}
    if critical and others:
        loads = sorted({u for users in critical.values() for u in users} & facts.wires.critical_loads)
        rest = dict.fromkeys(u for users in others.values() for u in users)
        yield Unmet(
            f"{subject.name} carries the circuits of {', '.join(loads)} and in the same body those of {', '.join(rest)}.",
            field="pins",
            numbers=(("critical pins", ", ".join(critical)), ("other pins", ", ".join(others))),
        )
