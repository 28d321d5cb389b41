"""The current of alternator, starter and pulsed loads does not come back by the ground conductors of instruments.

Why: what the current drops in a common wire is added to every signal that is measured against its far end: whine in the headsets, gauges that move.

How judged: for the return of each alternator, starter and load of pulsed current, and for that of each instrument, the wires and blocks are found
without which it cannot reach the negative of a battery. They may have the battery's negative lead and the block at its other end in common, and
nothing before it. A motor has pulses unless it says otherwise. With a pulsed load only
instruments count that take sound or the signal of a sensor.

Not covered: what two returns share by one of several ways, and coupling inside bundles.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("ac-43-13-1b", "11-186a, kinds of returns kept apart"),
    (
        "practice",
        "the strap of the engine, and motors and strobes, are grounded at the battery's block, not at that of the radios",
    ),
)
REMEDY = "Lead the engine's strap and the return of the pulsed load to the block at the battery's negative by wires of their own."


def subjects(facts: Facts):
    unsaid = [
        n
        for n in facts.design.of_kind(parts.Load)
        if facts.design.parts[n].type == "electronic" and facts.design.parts[n].noise is None
    ]
    return [f"parts/{n}" for n in dict.fromkeys((*facts.grounds.noisy_users, *unsaid))]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    shared = facts.grounds.shared_returns(name)
    if shared and name not in facts.grounds.noisy_users:
        raise NotAssessable(f"`noise` of {name}")
    if shared:
        most = max(shared, key=lambda s: len(s.elements))
        instruments = ", ".join(s.instrument for s in shared)
        yield Unmet(
            f"The current of {name} comes back by {', '.join(bare(e) for e in most.elements)}, and so does that of {instruments}.",
            path=(subject.pointer, *most.way),
        )
