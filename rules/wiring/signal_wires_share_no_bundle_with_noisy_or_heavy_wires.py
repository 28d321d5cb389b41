"""Sensor and audio wires do not run far in a bundle with wires of pulsed or heavy current.

Why: strobes and motors are heard in the headsets and move the gauges when their wires run along
those of the signal.

How judged: signal wires are those of sensors and jacks, and those with a return between
instruments. Pulsed: circuits of loads of `noise: pulsed` and of motors that do not say otherwise.
Heavy: wires between a main battery and the alternators, starters and external power sockets. A
bundle with both, not of one and the same unit, may run them together over at most 0.9 m (3 ft),
taken as the longest wire of either.

Not covered: electronic loads without `noise`, crossing wires, voltage sense leads, the distance
between bundles.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, beside, exceeds

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    (
        "practice",
        "signals 3 to 6 in from wires of pulsed or heavy current; a common run of 3 ft is accepted",
    ),
)
REMEDY = "Run the signal wires in their own bundle, some inches away, and cross the others at right angles."


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
    most = facts.wires.long_run
    if exceeds(mixed.run, most):
        yield Unmet(
            f"Bundle {mixed.bundle} holds signal wires of {', '.join(mixed.ends)} beside wires of "
            f"{', '.join(mixed.served)} for up to"
            f" {beside(mixed.run, most, '.1f')} m; limit {beside(most, mixed.run, '.1f')} m.",
            numbers=tuple(
                (f"{kind} of {', '.join(units)}", ", ".join(bare(w) for w in ws))
                for kind, units, ws in (
                    ("signal wires", mixed.ends, mixed.signals),
                    ("noisy wires", mixed.served, mixed.noisy),
                )
            ),
        )
