"""No wire of a sensor or of audio runs far in a bundle with wires of pulsed current, or of alternator, starter or outside power.

Why: strobes and motors are heard in the headsets and shake gauges when their wires lie along those of the signal.

How judged: signal wires are those of sensors and jacks, and those between instruments that have a return. Pulsed are the circuits of loads of
`noise: pulsed` and of motors that do not say otherwise; heavy are the wires between a main battery and the alternators, starters and sockets for
outside power. A bundle with both, not of one and the same unit, may not have them together over more than 0.9 m (3 ft): the run is no longer than the longest wire of either.

Not covered: electronic loads that do not give `noise`, wires that cross, leads that sense volts, how far two bundles lie apart.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.MINOR
CITATIONS = (
    (
        "practice",
        "signals lie 3 to 6 in from wires of pulsed or heavy current; a common run of 3 ft is accepted",
    ),
)
REMEDY = (
    "Lead the signal wires in a bundle of their own, some inches away, and cross the others at right angles."
)


def subjects(facts: Facts):
    if not facts.network.bundles and facts.design.aircraft.stage != "concept":
        raise NotAssessable("`bundle` of the wires")
    return [f"bundles/{name}" for name in facts.network.bundles]


def judge(subject: Subject, facts: Facts):
    mixed = facts.grounds.mixed_bundles.get(subject.name)
    if mixed is None:
        return
    if mixed.run is None:
        wires = [bare(w) for w in (*mixed.signals, *mixed.noisy)]
        raise NotAssessable(
            f"`length` of {', '.join(w for w in wires if facts.design.wires[w].length is None)}"
        )
    if mixed.run > facts.wires.long_run:
        yield Unmet(
            f"Bundle {mixed.bundle} leads signal wires of {', '.join(mixed.ends)} beside wires of {', '.join(mixed.served)}, over up to"
            f" {mixed.run:.1f} m; 0.9 m is accepted.",
            numbers=tuple(
                (kind, ", ".join(bare(w) for w in ws))
                for kind, ws in (("signals", mixed.signals), ("beside", mixed.noisy))
            ),
        )
