"""No single failure of a shared switch, relay, connector or stud stops a critical function.

Why: two poles of one switch, two pins of one connector and two lugs on one stud look like two
channels and fail as one.

How judged: each switch, relay, contactor, connector, splice, stud and ground block is lost with all
its poles, pins or lugs, in every normal flight state. So is each bolt of structure that holds
several wires. Each of its hot terminals is also shorted to ground, cleared by the nearest
protection. All contacts of a relay or contactor are welded closed together, and failed open
together; where that joins a source to its own negative, it is a short. As many channels must stay
powered as the function needs, each with its `minimum` voltage, which is solved. The outermost
function lost is named. A failure that loses one load alone is reported at that load. A short is
reported at the circuit protection of its fault zone where opening that loses the function in any
case. Bolts of structure are not judged at the concept stage.

Not covered: double failures, failures of mechanical parts, and a switch of the crew that stands
where no hand put it, as an ignition switch at off. Failure effects and checklists list that, and
critical-switches-are-guarded asks for a guard. Another rule covers what a declared crew action
recovers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("cfr-23-2525", "(b), no single failure"),
    ("ntsb", "ERA22LA322, one connector for both units of an ignition"),
    ("ntsb", "LAX05CA310, one master switch for the batteries and the alternator"),
)
REMEDY = "Give each channel its own switch, connector, stud and ground block."


def subjects(facts: Facts):
    return facts.failures.elements_on("body")


def judge(subject: Subject, facts: Facts):
    points = [p for p in facts.failures.single_points.get(subject.pointer, ()) if p.side == "body"]
    yield from of_single_points(subject, points, facts)
