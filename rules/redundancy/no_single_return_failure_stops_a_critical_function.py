"""No single failure on the return side causes loss of a critical function.

Why: half of the real losses were on the ground side: a shared strap, a ground block wire, a missing
bond. A load without a return is not powered.

How judged: in every normal flight state each wire and part that carries only return current is
opened. One source must still both feed a channel and receive its return, for as many channels as
the function needs, each with its `minimum` voltage, which is solved. A feed from one source with
the return to another does not count. The outermost function lost is named. A failure that loses one
load alone is reported at that load, by no-single-supply-failure-stops-a-critical-function. Studs,
ground blocks and connectors have their own rule.

Not covered: double failures, and failures of mechanical parts. Another rule covers what a declared
crew action recovers.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, of_single_points

HAZARD = HazardClass.CATASTROPHIC
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("ac-43-13-1b", "11-186e(1), redundant systems and common grounds"),
    ("cfr-23-2525", "(b), no single failure"),
)
REMEDY = "Return each channel by its own wire to its own ground, and tie the grounds by two routes."


def subjects(facts: Facts):
    return facts.failures.elements_on("return")


def judge(subject: Subject, facts: Facts):
    points = [p for p in facts.failures.single_points.get(subject.pointer, ()) if p.side == "return"]
    yield from of_single_points(subject, points, facts)
