"""Wire insulation is of the 150 C class or better, suits its zone, and is not PVC.

Why: PVC smokes and gives off acid long before a breaker opens; insulation that softens at ambient
temperature exposes the conductor.

How judged: the temperature class of each wire, its own or that of all wires (`aircraft.wire`). It
is compared with 150 C, and with the maximum ambient of the zone of the wire, else of the zones of
the parts at its ends. Rubber-insulated cable of any class is exempt at battery terminals, in a
battery's cable to its contactor and in the starter's power cables and returns.

Not covered: chafing, fluids, and heating by the current (another rule).
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    bare,
    parts,
    practice,
    quantity,
)

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "150 C class or better, no PVC; welding cable on battery leads"),)
REMEDY = "Use aircraft wire with insulation of the 150 C class or better; near the exhaust, 200 C."
LEAST_C = practice("celsius", "wire-insulation-class").low


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
        yield Unmet(f"{name} has PVC insulation.", field="insulation-material")
        return
    if wire.insulation is None:
        if rubber:
            return
        raise NotAssessable("`insulation` in `aircraft.wire`, or of each wire")
    if wire.insulation < LEAST_C and not rubber:
        yield Unmet(
            f"{name} has insulation of the {quantity(wire.insulation, 'C')} class; required "
            f"{quantity(LEAST_C, 'C')}.",
            field="insulation",
            numbers=(
                ("class", quantity(wire.insulation, "C")),
                ("minimum, common practice (no published source)", quantity(LEAST_C, "C")),
            ),
        )
        return
    ambient = facts.wires.ambient(name)
    if ambient is not None and ambient.known and ambient.celsius >= wire.insulation:
        yield Unmet(
            f"{name} is exposed to {quantity(ambient.celsius, 'C')} in zone {ambient.zone}; its insulation "
            f"is of the {quantity(wire.insulation, 'C')} class.",
            field="insulation",
            numbers=(
                ("maximum ambient", quantity(ambient.celsius, "C")),
                ("class", quantity(wire.insulation, "C")),
            ),
        )


def _is_battery_lead(subject: str, facts: Facts) -> bool:
    wire = facts.design.wires[bare(subject)]
    ends = [facts.design.parts[end.partition(".")[0]] for end in (wire.from_, wire.to)]
    return any(isinstance(part, parts.Battery) for part in ends) or subject in facts.protection.exempt_wires
