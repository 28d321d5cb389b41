"""No shield is grounded at both ends to different grounds.

Why: the shield then carries ground current and induces in the signal what it should keep out.

How judged: a shield grounded at two terminals of one part or block has one ground; at terminals of
different parts it has two.

Not covered: coaxial lines and data buses grounded at both ends on purpose; accept those by a
concession.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("ac-43-13-1b", "11-186f, single-point signal ground"),
    ("practice", "shields of audio wires are grounded at one end"),
)
REMEDY = "Ground the shield at one end only, for audio at the audio panel."


def subjects(facts: Facts):
    return [f"wires/{n}" for n, w in facts.design.wires.items() if w.shield is not None]


def judge(subject: Subject, facts: Facts):
    wire = subject.name
    shield = facts.design.wires[wire].shield or ()
    if len(shield) == 2 and (loop := facts.paths.shield_loop(wire)):
        if not loop.path and facts.paths.signal_return_loop(wire, unknown_joined=True):
            raise NotAssessable("`signal-returns` of the instruments at its ends")
        yield Unmet(
            f"The shield of {wire} is grounded at both ends: {shield[0]} and {shield[1]}.",
            field="shield",
            path=(subject.pointer, *loop.path),
        )
