"""A crew action can be carried out move by move without loss of a critical function on the way.

Why: hands move one switch after the other; an engine that stops between two of them may not start
again.

How judged: from the normal state, with every part and wire under `after-failure-of` failed open,
the moves of each action are made one after another in every order. In one order at least, each
function of hazardous or catastrophic loss that works before and after all moves must work after
each of them. A combination listed under `excluded` cannot be set on the way. `reviewer checklists`
prints the order to use.

Not covered: an order that parallels sources on the way (no-source-backfeeds-another), the order of
the words of a label, switches in transit, actions of more than eight moves.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, few

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "each line of an emergency checklist states its effect on the system"),)
REMEDY = (
    "Make the change-over by one double-throw switch, or join both feeds through diodes so that the new one "
    "can be switched on before the old one is switched off."
)


def subjects(facts: Facts):
    if not facts.states.critical_functions:
        return []
    actions = facts.states.operation.actions
    return [f"operation/actions/{name}" for name, action in actions.items() if len(action.move) > 1]


def judge(subject: Subject, facts: Facts):
    order = facts.crew.order_of_moves(subject.name)
    if order.lost:
        action = facts.states.operation.actions[subject.name]
        failed = f" after failure of {and_list(action.after_failure_of)}" if action.after_failure_of else ""
        moves = ", then ".join(f"{name} to {position}" for name, position in order.moves)
        yield Unmet(
            f"Action {subject.name} loses {few(order.lost)} on the way{failed}, in whatever order its "
            "moves are made.",
            field="move",
            state=facts.states.operation.normal,
            failure=", ".join(action.after_failure_of),
            numbers=(("least is lost in the order", moves),),
            functions=order.lost,
            hazard=max(HazardClass.of(facts.design.functions[f].loss) for f in order.lost),
        )
