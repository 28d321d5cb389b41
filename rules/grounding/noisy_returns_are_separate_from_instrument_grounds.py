"""Alternator, starter and pulsed return currents share no ground conductors with instruments.

Why: the voltage drop in a shared conductor adds to every signal measured against its far end: whine
in the headsets, gauges that move.

How judged: with every contact closed, the wires, pins and blocks common to every path from a return
to the negative of a battery that feeds it. Judged are the returns of alternators, starters, loads
of pulsed current and instruments. They may share the negative lead of a battery that feeds the
noisy one, and the block at its other end, nothing else. Connectors, shunts and splices in series in
that lead belong to it. A motor is pulsed unless it says otherwise. Against a pulsed load only
instruments with audio or a sensor signal count. A load whose supply is `filtered` may share the
ground block that it ends at and what follows; not the own return wire of an instrument. Of a
starter, major, also a block of an instrument counts that wires cross which carry a quarter of its
current or more.

Not covered: what other returns share by one of several paths, as where two batteries feed both, and
coupling inside bundles.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, remedy

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("ac-43-13-1b", "11-186a, kinds of returns kept separate"),
    (
        "practice",
        "engine strap, motors and strobes are grounded at the battery block, not at that of the radios",
    ),
)
QUARTER = 0.25
REMEDY = (
    "Run the engine strap and the return of the pulsed load to the block at the battery negative by "
    "their own wires."
)


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
    starts = subject.name in facts.design.starters
    if starts and not shared and facts.states.declared and not facts.wires.no_sizes:
        shared = facts.grounds.crossed_blocks(name, facts.protection.starter_cables.with_a_share(QUARTER))
    if shared and name not in facts.grounds.noisy_users:
        raise NotAssessable(f"`noise` of {name}")
    if shared:
        most = max(shared, key=lambda s: len(s.elements))
        several = list(dict.fromkeys(s.instrument for s in shared))  # one may return by two terminals
        instruments = ", ".join(several)
        frames = facts.design.of_kind(parts.Airframe)
        body = [f"{e}/strap" for e in most.path if bare(e) in frames][:1]
        common = [bare(e) for e in most.elements if bare(e) in frames]
        away = facts.grounds.negatives_elsewhere(name, common[-1]) if common else {}
        yield Unmet(
            f"Return current of {name} shares {', '.join(bare(e) for e in most.elements)} with the ground "
            f"of {instruments}.",
            path=(subject.pointer, *most.path),
            changes=(
                f"{subject.pointer}/return",
                *body,
                *(f"parts/{n}/return" for n in several if len(several) == 1),
            ),
            hazard=HazardClass.MAJOR if starts else None,
            numbers=(
                ("instruments", instruments),
                *((f"negative of {battery} at", block) for battery, block in away.items()),
            ),
            remedy=remedy.returns_at_structure(common[-1], away) if away else "",
        )
