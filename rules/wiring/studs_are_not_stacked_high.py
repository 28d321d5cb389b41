"""No stud or post holds more ring terminals than the trade allows.

Why: a tall stack clamps badly, gets loose and warm, and one loose nut then takes everything on it.

How judged: wires and bolted cases are counted on each stud, and on each post of batteries, alternators, contactors, shunts, limiters and sockets for
outside power. A post of four is accepted. Tabs of a ground block and terminals of a bus lie side by side and are not counted.

Not covered: the order of the lugs, their sizes, and insulated lugs of another circuit on the same bolt.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "four ring terminals at most on one stud"),)
REMEDY = "Lead some of the wires to a bus bar or a second stud, joined to the first by one heavy strap."


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.wires.crowded_posts]


def judge(subject: Subject, facts: Facts):
    for post, lugs in facts.wires.crowded_posts[subject.name].items():
        yield Unmet(
            f"{post} holds {len(lugs)} ring terminals; {facts.wires.lugs_on_a_stud} are the most by common practice.",
            path=(subject.pointer,),
            numbers=(("on it", ", ".join(lugs)),),
        )
