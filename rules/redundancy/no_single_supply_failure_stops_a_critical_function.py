"""No single failure on the supply side takes a function whose loss is hazardous or catastrophic.

Why: an engine that needs electricity stops with it, and a pilot cannot mend a wire in flight.

How judged: in every state of normal flight each source, wire, bus, protector and load that is fed is opened, and shorted to ground with the
nearest protectors then opened; what is left must still power as many channels as the function needs, with no move by the crew. The outermost
function that is lost is named. Switches, contactors, connectors and studs have a rule of their own, and so have protectors that channels share.

Not covered: two failures at once and mechanical parts of the engine. What a declared action of the crew restores is told by a rule of its own.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CITATIONS = (
    ("cfr-23-2525", "(b), no single failure of a supply, distribution or utilisation system"),
    ("ac-23-1309-1e", "paragraph 17, failure conditions"),
)
REMEDY = "Give each channel a source, a protector and wires of its own, or a second feed that shares no part with the first."


def subjects(facts: Facts):
    return facts.failures.elements_on("supply")


def judge(subject: Subject, facts: Facts):
    points = [
        p
        for p in facts.failures.single_points.get(subject.pointer, ())
        if p.side == "supply" and subject.pointer not in facts.failures.shared_protectors(p.function)
    ]
    yield from of_single_points(subject, points, "lose power")
