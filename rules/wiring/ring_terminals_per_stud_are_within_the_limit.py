"""No stud or terminal holds more ring terminals than common practice allows.

Why: a tall stack clamps badly, works loose and heats, and one loose nut then opens everything on
it.

How judged: wires and bolted cases are counted on each stud, and on each terminal of batteries,
alternators, contactors, shunts, current limiters and external power sockets. Four are accepted.
Tabs of a ground block and terminals of a bus are side by side and not counted.

Not covered: the order of the terminals, their sizes, and insulated terminals of another circuit on
the same bolt.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "four ring terminals at most on one stud"),)
REMEDY = "Move some of the wires to a bus bar or a second stud, joined to the first by one heavy strap."


def subjects(facts: Facts):
    return [f"parts/{name}" for name in facts.wires.crowded_terminals]


def judge(subject: Subject, facts: Facts):
    for post, lugs in facts.wires.crowded_terminals[subject.name].items():
        yield Unmet(
            f"{post} holds {len(lugs)} ring terminals; limit {facts.wires.lugs_on_a_stud} "
            "(common practice, no published source).",
            path=(subject.pointer,),
            numbers=(("ring terminals", ", ".join(lugs)),),
        )
