"""Every switch, breaker, fuse and current limiter has its own label.

Why: an unlabelled switch is left off, and an unlabelled breaker is not found in the dark.

How judged: `label` is given, and used once among switches and circuit protection.

Not covered: whether the words say what the switch does.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MINOR
CITATIONS = (("cfr-23-1367", "(d), labelled for operation and circuit"),)
REMEDY = "Give each its own label."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind((parts.Switch, parts.Protector))]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    label = subject.part(facts.design).label
    if not label:
        yield Unmet(f"{name} has no label.", field="label")
        return
    same = [bare(s) for s in subjects(facts) if facts.design.parts[bare(s)].label == label]
    if len(same) > 1:
        yield Unmet(f"The label {label} is used for {' and '.join(same)}.", field="label")
