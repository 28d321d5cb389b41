"""Every diode has the polarity that its duty needs.

Why: a reversed isolation diode discharges the reserve into the bus it must survive and never
charges it; a reversed suppression diode shorts the supply of its coil.

How judged: isolation: with the diode removed, its cathode must be joined to what it protects and
its anode not. Suppression: the diode must be connected directly across a coil, cathode on the
supply side.

Not covered: leakage and forward drop.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    (
        "practice",
        "a diode conducts from anode to cathode; a suppression diode has its cathode on the positive side "
        "of the coil",
    ),
)
REMEDY = "Reverse the diode, and prove it with a forward and a reverse reading before power-up."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Diode)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    diode = subject.part(facts.design)
    if diode.duty is None or (diode.duty == "isolation" and diode.protects is None):
        raise NotAssessable(f"`{'duty' if diode.duty is None else 'protects'}` of {name}")
    if diode.duty == "isolation":
        stand = facts.paths.diode_placement(name)
        if stand.stands == "reversed":
            yield Unmet(
                f"Isolation diode {name} is reversed: its anode, not its cathode, is joined to "
                f"{diode.protects}.",
                field="duty",
                numbers=(("protects", diode.protects),),
            )
        elif stand.stands == "beside":
            yield Unmet(
                f"Isolation diode {name} does not isolate {diode.protects}: only its cathode may be joined "
                "to it.",
                field="protects",
                numbers=(("protects", diode.protects),),
            )
        return
    coils = {
        c: facts.paths.coil_diodes(c)[name]
        for c in facts.design.of_kind(parts.Electromagnet)
        if name in facts.paths.coil_diodes(c)
    }
    if not coils:
        yield Unmet(
            f"{name}, declared a suppression diode, is not connected across a coil.",
            field="duty",
            hazard=HazardClass.MINOR,
        )
    elif not all(coils.values()):
        yield Unmet(
            f"Suppression diode {name} is reversed: its anode is on the supply side of {', '.join(coils)}, "
            "which it shorts.",
            field="duty",
            numbers=(("across the coil of", ", ".join(coils)),),
            hazard=HazardClass.MAJOR,
        )
