"""In a short a fuse opens before its wire overheats.

Why: the let-through of a slow fuse can ruin the insulation of a thin wire, and of its neighbours in
the bundle, even with matching ratings.

How judged: for each wire behind a fuse, a short at its far end. Current squared times the longest
opening time printed for that fuse is compared with what the conductor withstands without losing
heat (IEC 60949), from ambient to its insulation class.

Not covered: leads of up to 6 in (0.15 m) at the fuse; breakers and bolted current limiters, for
which no opening times are published. A cartridge fuse above 30 A is not assessed. If the printed
time exceeds 5 s, only a wire that withstands it is judged.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, quantity, remedy

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("iec-60949", "adiabatic equation, constants of copper"),
    ("iso-8820-3", "opening times, the longest by multiple of the rating"),
    ("ul-248-14", "opening times, the longest by multiple of the rating"),
    ("ac-43-13-1b", "11-48, circuit protection opens before its wire can smoke"),
)
REMEDY = "Fit a smaller or faster fuse, or a thicker wire."


def subjects(facts: Facts):
    return [
        w
        for w in facts.protection.protected_wires
        if facts.protection.fuses_of(w) and not facts.protection.is_stub(Subject(w).name)
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    for fault in facts.protection.faults(subject.pointer):
        if (
            fault.protector not in facts.protection.fuses_of(subject.pointer)
            or facts.protection.lowest_rating(fault)[1] != fault.protector
        ):
            continue
        heat = facts.protection.let_through_of(fault)
        if heat.through is None:  # too little current to open it in a printed time: another rule covers it
            continue
        through, bears = heat.through.i2t_a2s, heat.withstand.i2t_a2s
        if exceeds(through, bears):
            if heat.beyond:
                raise NotAssessable(
                    f"the opening time of {fault.protector} by its manufacturer: "
                    f"{quantity(heat.through.seconds, 's')} "
                    "is printed; limit 5 s"
                )
            yield Unmet(
                f"{name} overheats in a short: fuse {fault.protector} lets through "
                f"{quantity(through, 'A2s', bears)}; the wire withstands "
                f"{quantity(bears, 'A2s', through)}.",
                state=fault.state,
                switches=fault.moved,
                failure="shorted at its far end",
                path=fault.passed,
                changes=(f"{subject.pointer}/gauge", f"parts/{fault.protector}/rating"),
                remedy=remedy.by_let_through(name, fault, facts),
                numbers=(
                    ("let-through", quantity(heat.through.i2t_a2s, "A2s", heat.withstand.i2t_a2s)),
                    ("limit", quantity(heat.withstand.i2t_a2s, "A2s")),
                    (
                        "longest opening time",
                        f"{quantity(heat.through.seconds, 's')} at {heat.through.multiple:g} times the "
                        f"rating by {heat.through.figure.origin}",
                    ),
                    (
                        "conductor temperature",
                        f"{quantity(heat.withstand.start_c, 'C')} to {quantity(heat.withstand.end_c, 'C')}",
                    ),
                ),
            )
            return
