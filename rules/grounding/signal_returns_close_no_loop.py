"""Returns of audio and sensor circuits close no loop with other ground conductors.

Why: a loop picks up alternator whine and strobe pulses, and current of other circuits in it shifts what a gauge reads.

How judged: each wire at the return of a sensor or jack, or at a signal return of an instrument, is taken away; if wires, blocks, cases and structure
still join its two ends, it closes a loop. Where an instrument does not say whether its signal returns are joined to its power return and a loop
depends on it, this is not assessed.

Not covered: loops inside a unit, magnetic coupling between bundles.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("ac-43-13-1b", "11-186f, single-point signal ground"),)
REMEDY = "Insulate the jack or sensor from structure, or leave the return wire off and use the case's ground; one of the two, not both."


def subjects(facts: Facts):
    return [f"wires/{w}" for w in facts.paths.signal_return_wires()]


def judge(subject: Subject, facts: Facts):
    wire = subject.name
    loop = facts.paths.signal_return_loop(wire)
    if loop is None and (maybe := facts.paths.signal_return_loop(wire, unknown_joined=True)):
        unknown = [
            n
            for n in facts.design.of_kind(parts.Instrument)
            if f"parts/{n}" in maybe.way and facts.design.parts[n].signal_returns is None
        ]
        raise NotAssessable(f"`signal-returns` of {', '.join(unknown)}")
    if loop:
        yield Unmet(
            f"{wire} closes a loop: {loop.ends[0]} and {loop.ends[1]} are joined by other conductors too.",
            path=(subject.pointer, *loop.way),
        )
