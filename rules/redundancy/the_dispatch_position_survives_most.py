"""The position that the checklist asks for is the one that survives most single failures.

Why: a crew that must move a switch after a failure may not do it in time; where another position needs no move, it is the one to fly with.

How judged: each switch that changes a critical function over is set to its other positions, the rest as in the dispatch state, and every single failure is
tried. A position in which all channels live, and whose single points of failure are fewer and all among those of the dispatch position, is better.

Not covered: that a better position may empty a reserve: state that reason in a concession.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "the normal position is the one that needs no move after a failure"),)
REMEDY = "Make the better position the dispatch state, or concede it with the reason (for example that the reserve would be drained)."


def subjects(facts: Facts):
    return list(dict.fromkeys(c.switch for c in facts.crew.changeovers))


def judge(subject: Subject, facts: Facts):
    better = [b for b in facts.crew.better_positions if b.switch == subject.pointer]
    if better:
        first = better[0]
        yield Unmet(
            f"{subject.name} at {first.position} survives what it does not survive at {first.dispatch}: {first.function} no longer hangs on "
            f"{', '.join(first.spared[:4])}{f' and {len(first.spared) - 4} more' if len(first.spared) > 4 else ''}.",
            numbers=(("single points it spares", str(len(first.spared))),),
        )
