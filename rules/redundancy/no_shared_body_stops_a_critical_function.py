"""No shared switch body, contactor, connector, splice, stud or ground block takes a critical function when it is lost.

Why: two poles of one switch, two pins of one connector and two lugs on one stud look like two channels and fail as one.

How judged: in every state of normal flight each such body is lost as a whole, with all its poles, pins or lugs, and each of its hot terminals is
shorted to ground with the nearest protectors then opened; as many channels as the function needs must still be powered. The outermost
function that is lost is named.

Not covered: two failures at once and mechanical parts of the engine. What a declared action of the crew restores is told by a rule of its own.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CITATIONS = (
    ("cfr-23-2525", "(b), no single failure"),
    ("ntsb", "ERA22LA322, one connector for both units of an ignition; LAX05CA310, one master switch"),
)
REMEDY = "Give each channel a switch body, connector, stud and ground block of its own."


def subjects(facts: Facts):
    return facts.failures.elements_on("body")


def judge(subject: Subject, facts: Facts):
    points = [p for p in facts.failures.single_points.get(subject.pointer, ()) if p.side == "body"]
    yield from of_single_points(subject, points, "stop working")
