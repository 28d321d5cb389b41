"""No wire carries more current, on and on, than it may where it runs.

Why: a wire that runs hot in its bundle ages its insulation and that of its neighbours, and no breaker that was sized for the wire alone notices.

How judged: the largest current of each wire over the flown states in which the engine does not crank, against AC 43.13-1B Table 11-9 for its insulation,
scaled from the basis of the table (33 wires or 9, 70 C, 60 000 ft) to the wires in its bundle, the share of the bundle that is used, and the hottest
air of its zone; the altitude of the table is kept. A wire without a bundle runs alone. A wire that names no zone, and whose ends name none, is
taken to be in the hottest zone. This basis is not that of Table 11-3, by which protectors are judged.

Not covered: cranking, peaks that last seconds, what a wire carries when another has failed, and single wires near the exhaust.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-66d, 11-69 and Table 11-9"),
    ("nfpa-70", "310.15(B), correction for ambient temperature"),
)
REMEDY = "Use a larger wire, or insulation of a higher class, or take it out of the bundle."


def subjects(facts: Facts):
    if not facts.design.wires or facts.wires.no_sizes:
        return []
    return [f"wires/{name}" for name in facts.wires.wire_loads.carrying()]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    ambient = facts.wires.ambient(name)
    insulation = facts.design.wires[name].insulation
    if ambient is not None and insulation is not None and ambient.celsius >= insulation:
        raise NotAssessable(
            f"insulation of a higher class for {name}, or its `zone`: in air of {ambient.celsius:g} C it may carry nothing"
        )
    load, allowed = facts.wires.wire_loads.worst(name)
    limit, around = allowed.ampacity.amperes, allowed.around
    if abs(load.amperes) <= limit * (1 + 1e-9):
        if lacks := facts.wires.lacking(load.flown, ()):
            raise NotAssessable(f"{lacks}, to know what its wires carry")
        return
    if not allowed.ambient.known:
        raise NotAssessable(
            f"`zone` of {name}: in the hottest zone it may carry {limit:.1f} A and has {abs(load.amperes):.1f} A"
        )
    bundle = f"bundle of {around.wires} wires, {load.bundle_used:.0%} used" if around.wires > 1 else "alone"
    yield Unmet(
        f"{name} carries {abs(load.amperes):.1f} A in {load.flown} and may carry {limit:.1f} A where it runs: {bundle}, {around.ambient_c:g} C.",
        field="gauge",
        state=load.flown.state,
        numbers=(
            ("current", f"{abs(load.amperes):.2f} A"),
            ("limit", f"{limit:.2f} A"),
            (
                "basis",
                "; ".join(
                    str(f)
                    for f in (
                        *allowed.ampacity.rests_on[:1],
                        *(f"{n} x {v:.2f}" for n, v in allowed.ampacity.factors),
                    )
                ),
            ),
            *facts.wires.typical_behind(load.flown, (subject.pointer,)),
        ),
    )
