"""A coil that stays energised is rated for continuous duty.

Why: a starter contactor used as a battery contactor burns its coil within the hour; it welds or
drops out, and the bus with it.

How judged: a relay or contactor of intermittent `duty` must not be energised in any declared state.
Accepted: a state in which the engine cranks or a switch is held at a spring-return position, and
one of a check on the ground alone. So is one of which all phases last 5 min at most, common
practice (no published source). A contactor that stays energised must state its duty.

Not covered: the length of a start, and whether continuous-duty contacts withstand a starter
current.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, kind_word, parts

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "battery contactors are continuous duty, starter contactors intermittent duty"),)
REMEDY = "Use a contactor of continuous duty."


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
        and not _short(facts, a.state)
    ]
    if not held:
        return
    name = subject.name
    if part.duty == "intermittent":
        left = _left_at(facts, held[0].state, subject.pointer)
        springs = f", or a spring return of {left[0]} from {left[1]}" if left else ""
        yield Unmet(
            f"{kind_word(part).capitalize()} {name}, rated for intermittent duty, stays energised in "
            f"{held[0].state.name}.",
            field="duty",
            state=held[0].state.name,
            path=facts.states.path_to(held[0].state.name, subject.pointer),
            elements=(f"parts/{left[0]}",) if left else (),
            remedy=f"Use a {kind_word(part)} of continuous duty{springs}.",
        )
    elif isinstance(part, parts.Contactor):
        raise NotAssessable(f"`duty` of {name}, which stays energised in {held[0].state.name}")


def _sprung(facts: Facts, state) -> bool:
    switches = facts.design.of_kind(parts.Switch)
    return any(state.switches.get(n) in facts.design.parts[n].momentary for n in switches)


def _left_at(facts: Facts, state, coil: str) -> tuple[str, str] | None:
    """The switch, and its position, that energises a coil in a state and stays there, else than in the
    normal state."""
    way = (*facts.states.path_to(state.name, coil), *facts.states.path_back(state.name, coil))
    normal = facts.states.answers()[0].state.switches
    moved = (n for n in facts.design.hand_switches if f"parts/{n}" in way)
    return next(((n, state.switches[n]) for n in moved if state.switches[n] != normal.get(n)), None)


def _short(facts: Facts, state) -> bool:
    operation = facts.design.operation
    flown = operation is not None and any(p.state == state.name for p in operation.phases.values())
    checked = state.use == "ground" and any(c.state == state.name for c in facts.design.watch.checks.values())
    return bool(facts.states.brief_phases(state.name)) if flown else checked
