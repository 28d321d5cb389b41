"""A starter has power in no state but those that crank its engine.

Why: a starter that is engaged with a running engine is destroyed, and draws more than any
alternator delivers. In an aircraft with two engines a crossed start lead turns the wrong one.

How judged: each load of type starter, in each declared state: where it has power, the state has its
engine `cranking`, of several engines the one that it `turns`. In a parked state in which no switch
takes anything more off, no spring-return switch alone may run it, unless that is a key. A start
circuit fed ahead of the master turns the propeller when somebody leans on the button.

Not covered: a state that cranks and whose starter has no power: an engine may be turned by hand;
starters that a single failure runs (another rule).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, few

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "on when not wanted"
CITATIONS = (
    ("practice", "a starter is engaged only to start its engine"),
    ("practice", "with the master off no starter can be engaged"),
)
REMEDY = (
    "Wire the start circuit so that only the start position of this engine reaches its starter, or declare "
    "in that state what the engine does."
)


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.starters]


def judge(subject: Subject, facts: Facts):
    engine = facts.design.parts[subject.name].turns or ""
    found = [
        answer.state
        for answer in facts.states.answers()
        if answer.healthy.powered[subject.pointer] and answer.state.engine_of(engine) != "cranking"
    ]
    if found:
        first = found[0]
        where, turned = few([s.name for s in found]), f"engine {engine}" if engine else "the engine"
        yield Unmet(
            f"{subject.name} has power in {where}, with {turned} {first.engine_of(engine)}.",
            state=first.name,
            path=facts.states.circuit_path(first.name, [subject.pointer], subject.pointer),
        )
    for state in _parked(facts):
        if pressed := facts.switches.pressed_starter(state, subject.pointer):
            switch, position = pressed
            yield Unmet(
                f"{switch} at {position} runs {subject.name} in {state}, with the master off.",
                state=state,
                elements=(f"parts/{switch}",),
                remedy="Feed the start circuit from the load side of the master.",
            )
            return


def _parked(facts: Facts) -> tuple[str, ...]:
    try:
        return tuple(state for state in facts.endurance.parked_states() if facts.endurance.all_off(state))
    except NotAssessable:  # that such a state is missing is asked elsewhere
        return ()
