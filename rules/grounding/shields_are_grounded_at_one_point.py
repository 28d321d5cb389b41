"""No shield is grounded at both ends to different grounds.

Why: the shield then carries ground current and induces in the signal what it should keep out.

How judged: a shield with two ends at terminals of different parts has two grounds if each end
reaches ground without the other end. Ground is a block, structure or the negative of a source, by
wires, cases and blocks. A shield whose one end is grounded through the other alone has no second
ground. Examples are the only return of an isolated sensor, and the shield of a magneto lead that
ends at the switch. Not assessed if that depends on whether an instrument joins its signal returns
to its power return, and the file does not say.

Not covered: coaxial lines and data buses grounded at both ends on purpose; accept those by a
concession.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
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
    if len(shield) < 2:
        return
    loop = facts.paths.shield_loop(wire)
    if loop is None and (maybe := facts.paths.shield_loop(wire, unknown_joined=True)):
        near = {*maybe.path, *(f"parts/{end.partition('.')[0]}" for end in shield)}
        unknown = [
            n
            for n in facts.design.of_kind(parts.Instrument)
            if f"parts/{n}" in near and facts.design.parts[n].signal_returns is None
        ]
        raise NotAssessable(f"`signal-returns` of {', '.join(unknown)}")
    if loop:
        yield Unmet(
            f"The shield of {wire} is grounded at both ends: {shield[0]} and {shield[1]}.",
            field="shield",
            path=(subject.pointer, *loop.path),
            numbers=(("grounded at", f"{shield[0]}, {shield[1]}"),),
        )
