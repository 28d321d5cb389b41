"""A critical function that one switch would bring back has a crew action that does so.

Why: a pilot with a dead engine follows the checklist. A switch that would bring it back and stands
in no line of it is found too late.

How judged: each single failure in the normal state that loses a function of hazardous or
catastrophic loss and that no sequence of up to three declared actions recovers. Each switch is
moved by itself to every position that it keeps, and each unit that is off switched on. None of
these may restore the function: in every outcome of a short, no load of it below its `minimum`
voltage, and without loss of a function as severe.

Not covered: failures of mechanical parts, after which the backup is switched on; two moves that
would do it together; circuit protection that would be reset. Nor are other states than the normal
one, and the loss of the function itself, which other rules judge.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, few

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("ntsb", "ANC19LA036, the alternate bus was never selected"),
    ("practice", "each line of an emergency checklist states its effect on the system"),
)
REMEDY = "Add the move to the checklist and declare it under `actions`, or make the change-over automatic."


def subjects(facts: Facts):
    if not facts.states.critical_functions or not facts.states.declared:
        return []
    return [f"functions/{name}" for name in facts.states.critical_functions]


def judge(subject: Subject, facts: Facts):
    missing = facts.crew.missing_actions(subject.name)
    if not missing:
        return
    if not facts.states.operation.actions:
        raise NotAssessable(f"`actions` of the operation: what the crew does when {subject.name} is lost")
    first = max(missing, key=lambda one: len(one.failures))
    elements = list(dict.fromkeys(f.element for one in missing for f in one.failures))
    failed = few([bare(e) for e in elements])
    others = [f"{one.name} to {one.position}" for one in missing if one is not first]
    yield Unmet(
        f"No action restores {subject.name} after failure of {failed}; "
        f"setting {first.name} to {first.position} would.",
        state=facts.states.operation.normal,
        failure=f"{bare(first.failures[0].element)} {first.failures[0].words(facts.network)}",
        elements=tuple(elements),
        changes=("actions",),
        functions=(subject.name,),
        numbers=(("failed", failed), *((("also by", few(others)),) if others else ())),
    )
