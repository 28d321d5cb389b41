"""A load with a `current` in a phase has power in the state of that phase.

Why: the load list says what runs in a phase, and the drawing what has power there. Where they
differ, a switch is in the wrong position, a contact is wired the wrong way round, or the list is
wrong. An example is a gear pump with 28 A at retraction that the squat switch keeps off in the air.

How judged: each load and instrument with a current by phase, in the state of each phase in which
that is above zero. An intermittent one counts where no spring-return position of a switch runs it,
and its current there is a tenth of its `peak` or more, which is no average. Not judged: a load that
nothing energises. Nor is a phase in flight without a function that is lost with the load and that
the state does not list under `without` (the rules of functions).

Not covered: a single `current` for all phases, and states without a phase.
"""

import collections.abc

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "an electrical load analysis counts what is on in each phase of flight"),)
REMEDY = "Correct the switch or contact that keeps it off, or write 0 A for the phase in its `current`."


def subjects(facts: Facts):
    if not facts.design.operation or not facts.design.operation.phases:
        return []
    of, every = facts.design.parts, facts.design.of_kind(parts.Consumer)
    named = [n for n in every if isinstance(of[n].current, collections.abc.Mapping)]
    return [f"parts/{n}" for n in named]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    lost = {f for f in facts.design.functions if facts.states.lost_with(f, (name,))}
    found = [
        one
        for one in facts.switches.unpowered_phases
        if one.load == name and not _told(lost, facts.states.declared[one.state])
    ]
    if not found or subject.pointer in facts.switches.never_energised.dead:
        return
    first, *others = found
    also = [one.phase for one in others]
    yield Unmet(
        f"{name} has no power in {first.state}; its `current` is {quantity(first.amperes, 'A')} in "
        f"{first.phase}.",
        field="current",
        state=first.state,
        numbers=(
            ("current", quantity(first.amperes, "A")),
            *((("also in", ", ".join(also)),) if also else ()),
        ),
    )


def _told(lost: set[str], state) -> bool:
    """Whether another rule reports that one of some functions is off in a state."""
    return state.use != "ground" and not lost <= set(state.without)
