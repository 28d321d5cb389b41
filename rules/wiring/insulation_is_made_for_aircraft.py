"""The insulation of every wire is of the 150 C class or better, stands the heat of its zone, and is not PVC.

Why: PVC smokes and gives off acid long before a breaker opens; and insulation that is too soft for the heat around it lets the wire through.

How judged: the temperature class of each wire, its own or that of all wires (`aircraft.wire`), against 150 C, and against the hottest air of the
zones that it is known to be in: its own, else those of the parts at its ends. Rubber-insulated cable is accepted, whatever its class, on the
posts of a battery and in the main circuit of the starter, as is the custom.

Not covered: chafing, fluids, and the heat that the current makes (a rule of its own).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "150 C class or better, no PVC; welding cable on battery leads"),)
REMEDY = "Use wire made for aircraft, with insulation of the 150 C class or better; nearer the exhaust one of 200 C."
LEAST_C = 150.0


def subjects(facts: Facts):
    wires = facts.design.wires
    if wires and all(wire.insulation is None and wire.insulation_material is None for wire in wires.values()):
        raise NotAssessable("`insulation` in `aircraft.wire`, or of each wire")
    return [f"wires/{name}" for name in wires]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    wire = facts.design.wires[name]
    rubber = wire.insulation_material == "rubber" and _is_battery_lead(subject.pointer, facts)
    if wire.insulation_material == "pvc":
        yield Unmet(f"{name} is insulated with PVC.", field="insulation-material")
        return
    if wire.insulation is None:
        if rubber:
            return
        raise NotAssessable("`insulation` in `aircraft.wire`, or of each wire")
    if wire.insulation < LEAST_C and not rubber:
        yield Unmet(
            f"The insulation of {name} is of the {wire.insulation:g} C class.",
            field="insulation",
            numbers=(("class", f"{wire.insulation:g} C"), ("least, common practice", f"{LEAST_C:g} C")),
        )
        return
    ambient = facts.wires.ambient(name)
    if ambient is not None and ambient.known and ambient.celsius >= wire.insulation:
        yield Unmet(
            f"{name} is in air of {ambient.celsius:g} C in zone {ambient.zone}, and its insulation is of the {wire.insulation:g} C class.",
            field="insulation",
            numbers=(("hottest air", f"{ambient.celsius:g} C"), ("class", f"{wire.insulation:g} C")),
        )


def _is_battery_lead(subject: str, facts: Facts) -> bool:
    wire = facts.design.wires[bare(subject)]
    ends = [facts.design.parts[end.partition(".")[0]] for end in (wire.from_, wire.to)]
    return any(isinstance(part, parts.Battery) for part in ends) or (
        facts.design.operation is not None and subject in facts.protection.exempt_wires
    )
