"""A coil that stays energised is made for it.

Why: a starter contactor used as a battery contactor cooks its coil within the hour; it welds or lets go, and the bus with it.

How judged: a relay or contactor whose `duty` is intermittent must not be energised in any declared state, unless the engine is cranking or a switch is held
at a position that springs back. A contactor that stays energised must say its duty.

Not covered: how long a start takes, and whether contacts of continuous duty stand the current of a starter.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (
    ("practice", "battery contactors are of continuous duty, starter contactors of intermittent duty"),
)
REMEDY = "Use a contactor made for continuous duty."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Electromagnet)] if facts.design.operation else []


def judge(subject: Subject, facts: Facts):
    part = subject.part(facts.design)
    if part.duty == "continuous":
        return
    held = [
        a
        for a in facts.states.answers()
        if a.healthy.energised[subject.pointer]
        and a.state.engine != "cranking"
        and not _sprung(facts, a.state)
    ]
    if not held:
        return
    name = subject.name
    if part.duty == "intermittent":
        yield Unmet(
            f"{name} is made for intermittent duty and stays energised in {held[0].state.name}.",
            field="duty",
            state=held[0].state.name,
        )
    elif isinstance(part, parts.Contactor):
        raise NotAssessable(f"`duty` of {name}, which stays energised in {held[0].state.name}")


def _sprung(facts: Facts, state) -> bool:
    switches = facts.design.of_kind(parts.Switch)
    return any(state.switches.get(n) in facts.design.parts[n].momentary for n in switches)
