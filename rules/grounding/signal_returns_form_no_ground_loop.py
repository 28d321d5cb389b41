"""Returns of audio and sensor circuits form no ground loop.

Why: a loop picks up alternator whine and strobe pulses, and current of other circuits in it shifts
the gauge reading.

How judged: each wire at the return of a sensor or jack, or at a signal return of an instrument, is
removed. If wires, blocks, cases and structure still join its two ends, it forms a loop. Not
assessed if a loop depends on whether an instrument joins its signal returns to its power return,
and the file does not say. A wire that joins sensors and measuring returns with each other or with
ground may be left off; one by which a load returns stays.

Not covered: loops inside a unit, magnetic coupling between bundles.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, parts, return_words

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("ac-43-13-1b", "11-186f, single-point signal ground"),)
REMEDY = "Open the loop at a lead by which no load returns; never leave a power return off."


def subjects(facts: Facts):
    return [f"wires/{w}" for w in facts.paths.signal_return_wires()]


def judge(subject: Subject, facts: Facts):
    wire = subject.name
    loop = facts.paths.signal_return_loop(wire)
    if loop is None and (maybe := facts.paths.signal_return_loop(wire, unknown_joined=True)):
        unknown = [
            n
            for n in facts.design.of_kind(parts.Instrument)
            if f"parts/{n}" in maybe.path and facts.design.parts[n].signal_returns is None
        ]
        raise NotAssessable(f"`signal-returns` of {', '.join(unknown)}")
    if loop:
        leads = facts.paths.loop_leads(loop)
        yield Unmet(
            f"{wire} forms a ground loop: {loop.ends[0]} and {loop.ends[1]} are also joined by other "
            "conductors.",
            path=(subject.pointer, *loop.path),
            numbers=(("between", and_list(loop.ends)),),
            changes=return_words.loop_changes(leads),
            remedy=return_words.loop_remedy(wire, leads),
        )
