"""No wire carries more continuous current than its rating where it runs.

Why: a wire that runs hot in its bundle ages its insulation and that of its neighbours, and no
breaker sized for the wire alone notices.

How judged: the largest current of each wire over the operating states except cranking, against AC
43.13-1B Table 11-9 for its insulation. The table (33 wires or 9, 70 C, 60,000 ft) is scaled to the
wires in the bundle, their share in use, and the maximum ambient of the zone. Its altitude is kept.
A wire without a bundle runs alone. A wire without a zone of its own or its ends is taken to be in
the hottest zone. This basis is not that of Table 11-3, which sizes circuit protection.

Not covered: cranking, peaks of seconds, currents after a failure elsewhere, and single wires near
the exhaust.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    over_rated,
    percent,
    quantity,
    remedy,
)

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "can burn"
CITATIONS = (
    ("ac-43-13-1b", "11-66d and Table 11-9, current by temperature class of the insulation"),
    ("ac-43-13-1b", "11-69, wires of a bundle"),
    ("nfpa-70", "310.15(B), correction for ambient temperature"),
)
REMEDY = "Use a larger wire."


def subjects(facts: Facts):
    if not facts.design.wires or facts.wires.no_sizes:
        return []
    return [f"wires/{name}" for name in facts.wires.wire_loads.carrying()]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    ambient = facts.wires.ambient(name)
    insulation = facts.design.wires[name].insulation
    if ambient is not None and insulation is not None and ambient.celsius >= insulation:
        hot = f"at {quantity(ambient.celsius, 'C')} ambient its rating is zero"
        raise NotAssessable(f"insulation of a higher class for {name}, or its `zone`: {hot}")
    load, allowed = facts.wires.wire_loads.worst(name)
    amps, limit, around = abs(load.amperes), allowed.ampacity.amperes, allowed.around
    if not over_rated(amps, limit):
        for flown, _ in facts.wires.wire_loads.points:  # it may carry more where a load is not known
            if lacks := facts.wires.lacking(flown, ()):
                raise NotAssessable(f"{lacks}, for the current of the wires")
        return
    carried, most = quantity(amps, "A", limit), quantity(limit, "A", amps)
    if not allowed.ambient.known:
        raise NotAssessable(f"`zone` of {name}: in the hottest zone it carries {carried}; limit {most}")
    several = f"bundle of {around.wires} wires, {percent(load.bundle_used)} in use"
    bundle = several if around.wires > 1 else "single wire"
    scaled = [f"{n} x {v:.2f}" for n, v in allowed.ampacity.factors]
    yield Unmet(
        f"{name} carries {carried} in {load.flown}; limit {most} ({bundle}, "
        f"{quantity(around.ambient_c, 'C')} ambient).",
        field="gauge",
        changes=(f"{subject.pointer}/current", f"{subject.pointer}/gauge"),
        state=load.flown.state,
        remedy=remedy.cooler_wire(name, amps, around.wires > 1, facts),
        numbers=(
            ("current", carried),
            ("limit", most),
            ("basis", "; ".join((*map(str, allowed.ampacity.rests_on[:1]), *scaled))),
            *facts.wires.typical_behind(load.flown, (subject.pointer,)),
        ),
    )
