"""Every diode points the way that its duty needs.

Why: an isolation diode the wrong way round empties the reserve into the bus it was to survive, and never charges it; a suppression diode the wrong way
round is a short across the coil's supply.

How judged: isolation: with the diode taken away, its cathode must be joined to what it protects and its anode not. Suppression: the diode must lie
straight across a coil, with its cathode on the side that is fed.

Not covered: leakage and drop.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    (
        "practice",
        "a diode conducts from anode to cathode; a suppressor has its cathode on the positive side of the coil",
    ),
)
REMEDY = "Turn the diode round, and prove it with a forward and a reverse reading before power-up."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Diode)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    diode = subject.part(facts.design)
    if diode.duty is None or (diode.duty == "isolation" and diode.protects is None):
        raise NotAssessable(f"`{'duty' if diode.duty is None else 'protects'}` of {name}")
    if diode.duty == "isolation":
        stand = facts.paths.diode_stand(name)
        if stand.stands == "reversed":
            yield Unmet(
                f"{name} points away from {diode.protects}: its anode, not its cathode, is joined to it.",
                field="duty",
            )
        elif stand.stands == "beside":
            yield Unmet(
                f"{name} does not stand between {diode.protects} and the rest: its cathode alone should be joined to it.",
                field="protects",
            )
        return
    coils = {
        c: facts.paths.coil_diodes(c)[name]
        for c in facts.design.of_kind(parts.Electromagnet)
        if name in facts.paths.coil_diodes(c)
    }
    if not coils:
        yield Unmet(
            f"{name} is declared a suppression diode and lies across no coil.",
            field="duty",
            hazard=HazardClass.MINOR,
        )
    elif not all(coils.values()):
        yield Unmet(
            f"{name} has its anode on the fed side of {', '.join(coils)}: it shorts the supply of the coil.",
            field="duty",
            hazard=HazardClass.MAJOR,
        )
