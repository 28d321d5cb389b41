"""The normal position of a change-over switch survives the most single failures.

Why: a crew may not move a switch in time after a failure; a position that needs no move is the one
to fly with.

How judged: each switch that changes a critical function over is set to its other positions, the
rest as in the normal state. Every single failure is simulated, including relay contacts welded
closed and failed open. A position is better if all channels are powered and its single points of
failure are fewer and all among those of the normal position. No position is better that joins
sources which the normal one keeps apart, shorts a source or is excluded by the file. Nor is one
that gives another critical function a single point of failure.

Not covered: a better position that drains a reserve: give that reason in a concession.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, few

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "the normal position needs no move after a failure"),)
REMEDY = (
    "Make the better position the normal state, or concede it with the reason (for example: the reserve "
    "would be drained)."
)


def subjects(facts: Facts):
    return list(dict.fromkeys(c.switch for c in facts.crew.changeovers))


def judge(subject: Subject, facts: Facts):
    better = [b for b in facts.crew.better_positions if b.switch == subject.pointer]
    if better:
        first = better[0]
        yield Unmet(
            f"{subject.name} at {first.normal}, the normal position: {first.function} is lost by a "
            f"single failure of {few(first.spared)}. At {first.position} it is not.",
            numbers=(("single points of failure removed", f"{len(first.spared)}: {few(first.spared)}"),),
        )
