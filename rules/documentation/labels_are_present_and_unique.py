"""Every switch, breaker, fuse and current limiter has its own label.

Why: an unlabelled switch is left off, and an unlabelled breaker is not found in the dark.

How judged: past the concept stage `label` is given. It is used once among the switches and once
among the circuit protection. A breaker may have the label of the switch of its circuit; a
switch-rated breaker counts as both. A switch that is not operated by hand needs no label.

Not covered: whether the words say what the switch does; a breaker with the label of a switch of
another circuit.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("cfr-23-1367", "(d), labelled for operation and circuit"),)
REMEDY = "Give each its own label."
SWITCHES = (parts.Switch, parts.BreakerSwitch)
LABELLED = (parts.Switch, parts.Protector)


def subjects(facts: Facts):
    design = facts.design
    return [f"parts/{n}" for n in design.of_kind(LABELLED) if design.by_hand(n)]


def judge(subject: Subject, facts: Facts):
    name, part, design = subject.name, subject.part(facts.design), facts.design
    if not part.label and design.aircraft.stage == "concept":
        return
    if not part.label:
        yield Unmet(f"{name} has no label.", field="label", remedy="Label it with what it feeds or does.")
        return
    alike = [n for n in design.of_kind(LABELLED) if design.parts[n].label == part.label]
    same = [n for n in alike if _confused(part, design.parts[n]) and design.by_hand(n)]
    if len(same) > 1:
        yield Unmet(
            f"The label {part.label} is used for {and_list(same)}.",
            field="label",
            changes=tuple(f"parts/{n}/label" for n in same),
            numbers=(("used for", ", ".join(same)),),
        )


def _confused(one, other) -> bool:
    """Whether two parts are both switches or both circuit protection."""
    return any(isinstance(one, kind) and isinstance(other, kind) for kind in (SWITCHES, parts.Protector))
