"""Power from outside reaches every battery, so that a charger in the hangar keeps the reserve full too.

Why: a reserve that only the alternator charges stands half empty after a winter, and nothing on the ground shows it.

How judged: for each socket, whether in a declared state with outside power it feeds each battery's positive post and gets its negative back.

Not covered: the volts that arrive; a charger that is clipped to a battery's own posts.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "the charger's socket on the main side, the reserve behind its diode"),)
REMEDY = "Put the socket on the main side, where the diode of the reserve lets its current in, and declare the state in which it charges."


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind(parts.GroundPower)]
        if facts.design.of_kind(parts.Battery) and facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    reached = facts.endurance.outside_reaches(subject.name)
    missed = [battery for battery, states in reached.items() if not states]
    if missed:
        yield Unmet(f"{subject.name} does not charge {' and '.join(missed)} in any declared state.")
