"""Wires thinner than 8 AWG are copper.

Why: thin aluminium breaks where it bends and creeps out of its crimps, and small copper terminals
do not hold it.

How judged: the conductor of each wire, its own or that of all wires (`aircraft.wire`), and its
gauge. Aluminium below 8 AWG is not recommended.

Not covered: terminations of heavy aluminium cable, and copper-clad aluminium sold as copper.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("ac-43-13-1b", "note to Table 11-10, aluminium below 8 AWG is not recommended"),)
REMEDY = "Use tin-plated copper aircraft wire."
#: area of a solid 8 AWG conductor, ASTM B258
EIGHT_AWG_MM2 = 8.36


def subjects(facts: Facts):
    wires = facts.design.wires
    if wires and all(wire.conductor is None for wire in wires.values()):
        raise NotAssessable("`conductor` in `aircraft.wire`, or of each wire")
    return [f"wires/{name}" for name in wires]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    wire = facts.design.wires[name]
    if wire.conductor is None:
        raise NotAssessable("`conductor` in `aircraft.wire`, or of each wire")
    if wire.conductor != "aluminium":
        return
    if wire.gauge is None:
        raise NotAssessable(f"`gauge` of {name}")
    if exceeds(EIGHT_AWG_MM2, wire.gauge.area_mm2):
        yield Unmet(
            f"{name} is {wire.gauge} aluminium; smallest aluminium wire 8 AWG.",
            field="conductor",
            numbers=(("gauge", str(wire.gauge)), ("smallest", "8 AWG")),
        )
