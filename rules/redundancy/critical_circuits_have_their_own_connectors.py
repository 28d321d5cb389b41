"""Circuits of critical functions have their own connectors.

Why: unplugging a shared connector to work on another circuit can leave the engine circuit half
mated; one loose shell then stops what the engine needs.

How judged: each pin's circuit is followed in both directions to the next bus, ground or source. A
pin is critical if its circuit serves a load or instrument of a function whose loss is hazardous or
catastrophic. Pins whose circuits serve other users only may not be in the same connector. Spare
pins do not count; several critical functions may share a connector, and so may the electric channel
of one that goes on by a magneto or a mechanical part.

Not covered: two channels of one function in one connector, which another rule covers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("practice", "engine circuits have their own connectors"),
    ("ntsb", "ERA22LA322, one connector for both units of an ignition"),
)
REMEDY = "Give the other circuits their own connector."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Connector)] if facts.wires.critical_loads else []


def judge(subject: Subject, facts: Facts):
    pins = facts.wires.pin_users(subject.name)
    critical = {pin: users for pin, users in pins.items() if facts.wires.critical_loads.intersection(users)}
    channels = {u for n in facts.states.critical_functions for u in facts.states.loads_of(n)}
    others = {pin: users for pin, users in pins.items() if users and channels.isdisjoint(users)}
    if critical and others:
        named = {u for users in critical.values() for u in users} & facts.wires.critical_loads
        loads = [name for name in facts.design.parts if name in named]
        rest = dict.fromkeys(u for users in others.values() for u in users)
        yield Unmet(
            f"Connector {subject.name} carries critical circuits ({', '.join(loads)}) and other circuits "
            f"({', '.join(rest)}).",
            field="pins",
            numbers=tuple(
                (f"{kind} pins", ", ".join(f"{pin} ({and_list(users)})" for pin, users in pins.items()))
                for kind, pins in (("critical", critical), ("other", others))
            ),
        )
