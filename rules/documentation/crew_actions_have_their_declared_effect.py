"""Each declared crew action has the effect that the file declares.

Why: a checklist is written once and followed in smoke; a line that does not do what it promises is
worse than none.

How judged: the moves of the action are made from the normal state. Every part and wire under
`after-failure-of` has failed open (a breaker there may be reset). Each function, load and source
under `restores` must then work; each bus and load under `disconnects` must be dead, and each source
there must power nothing. The moves must lead to no excluded combination, and the relays must
settle. Circuit protection that an action moves must be accessible in flight.

Not covered: whether what is restored had been lost, and shorts; whether shed loads can be reached
(load-shedding-can-be-done-in-flight).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, bare

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "each line of an emergency checklist states its effect on the system"),
    ("cfr-23-1361", "(a), disconnecting the sources"),
)
REMEDY = "Move the right switches in the action, or change what they switch."


def _controls(alive, facts: Facts) -> tuple[str, ...]:
    """That the alternator that feeds all that stays live can be switched off."""
    sources = {one.source for one in alive}
    return tuple(f"{s}/control" for s in sources if len(sources) == 1 and s in facts.sources.at_work)


def subjects(facts: Facts):
    return [f"operation/actions/{name}" for name in facts.states.operation.actions]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    action = facts.states.operation.actions[name]
    away = facts.crew.out_of_reach(name)
    if away and name not in facts.states.operation.load_shedding:
        yield Unmet(
            f"Action {name} moves {and_list(away)}, not accessible in flight.",
            field="move",
            numbers=(("accessible on the ground only", ", ".join(away)),),
        )
        return
    sheds = {shed.action for shed in facts.endurance.shed_plan if shed.loads}
    if not action.restores and not action.disconnects and name in sheds:
        raise NotAssessable(f"`disconnects` of action {name}: the loads that it sheds")
    if not action.restores and not action.disconnects:
        raise NotAssessable(f"`restores` or `disconnects` of action {name}: what it is for")
    outcome = facts.crew.action_effect(name)
    wrong = []
    if not outcome.possible:
        wrong.append("leads to an excluded combination")
    if not outcome.settled:
        wrong.append("leaves relays that do not settle")
    if outcome.dead:
        failed = f" after failure of {', '.join(action.after_failure_of)}" if action.after_failure_of else ""
        wrong.append(f"does not restore {', '.join(outcome.dead)}{failed}")
    for source in dict.fromkeys(alive.source for alive in outcome.alive):
        fed = [alive.name for alive in outcome.alive if alive.source == source]
        wrong.append(f"leaves {bare(source)} feeding {', '.join(fed)}")
    if wrong:
        functions = facts.design.functions
        lost = [HazardClass.of(functions[n].loss) for n in outcome.dead if n in functions]
        left = [("not restored", ", ".join(outcome.dead))] if outcome.dead else []
        yield Unmet(
            f"Action {name} {', and '.join(wrong)}.",
            field="restores" if outcome.dead else "disconnects" if outcome.alive else "move",
            state=facts.states.operation.normal,
            failure=", ".join(action.after_failure_of or ()),
            path=outcome.alive[0].path if outcome.alive else (),
            elements=tuple(f"parts/{n}" for n in outcome.dead if n in facts.design.parts),
            changes=(*(("isolation",) if outcome.alive else ()), *_controls(outcome.alive, facts)),
            functions=tuple(n for n in outcome.dead if n in facts.design.functions),
            numbers=(*left, *((f"{a.name} fed from", bare(a.source)) for a in outcome.alive)),
            hazard=max([HAZARD, *lost]),
        )
