"""No single failure on the return side takes a function whose loss is hazardous or catastrophic.

Why: half of the real losses were on the ground side: a shared strap, a ground block wire, a missing bond. Power that cannot come back is no power.

How judged: in every state of normal flight each wire and part that carries only return current is opened; one source must still both feed a
channel and get its return back, for as many channels as the function needs. Feed from one source and return to another is no power. The outermost
function that is lost is named. Studs, ground blocks and connectors have a rule of their own.

Not covered: two failures at once and mechanical parts of the engine. What a declared action of the crew restores is told by a rule of its own.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CITATIONS = (
    ("ac-43-13-1b", "11-186e(1), redundant systems and common grounds"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = "Return each channel by a wire of its own to a ground of its own, and tie the grounds by two routes."


def subjects(facts: Facts):
    return facts.failures.elements_on("return")


def judge(subject: Subject, facts: Facts):
    points = [p for p in facts.failures.single_points.get(subject.pointer, ()) if p.side == "return"]
    yield from of_single_points(subject, points, "lose the return")
