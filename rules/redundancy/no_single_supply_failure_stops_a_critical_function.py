"""No single failure on the supply side causes loss of a critical function.

Why: an engine that needs electricity stops with it, and a pilot cannot repair a wire in flight.

How judged: in every normal flight state each source, wire, bus, breaker, fuse, current limiter and
load that is fed is opened. It is also shorted to ground, and cleared by the nearest protection. As
many channels must stay powered as the function needs, without crew action, each with its `minimum`
voltage. What it has then is solved, with batteries as charged as the file says. The outermost
function lost is named. A failure that loses one load alone is reported at that load, a short once
for each fault zone. Switches, contactors, connectors and studs have their own rule; so has circuit
protection that channels share (redundant-channels-share-no-circuit-protection).

Not covered: double failures, discharged batteries, and failures of mechanical parts. Another rule
covers what a declared crew action recovers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CONSEQUENCE = "lost at one failure"
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
        if p.side == "supply" and not facts.failures.loses_channels(p.function, subject.pointer)
    ]
    yield from of_single_points(subject, points, facts)
