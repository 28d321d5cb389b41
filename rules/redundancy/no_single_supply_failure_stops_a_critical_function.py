"""No single failure on the supply side causes loss of a critical function.

Why: an engine that needs electricity stops with it, and a pilot cannot repair a wire in flight.

How judged: in every normal flight state each source, wire, bus, breaker, fuse, current limiter and
load that is fed is opened, and shorted to ground and cleared by the nearest protection. As many
channels must stay powered as the function needs, without crew action. The outermost function lost
is named. Switches, contactors, connectors and studs have their own rule; so has circuit protection
that channels share.

Not covered: double failures and mechanical parts of the engine. Another rule covers what a declared
crew action recovers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CITATIONS = (
    ("cfr-23-2525", "(b), no single failure of a supply, distribution or utilisation system"),
    ("ac-23-1309-1e", "paragraph 17, failure conditions"),
)
REMEDY = "Give each channel its own source, circuit protection and wires, or an independent second feed."


def subjects(facts: Facts):
    return facts.failures.elements_on("supply")


def judge(subject: Subject, facts: Facts):
    points = [
        p
        for p in facts.failures.single_points.get(subject.pointer, ())
        if p.side == "supply" and subject.pointer not in facts.failures.shared_protectors(p.function)
    ]
    yield from of_single_points(subject, points)
