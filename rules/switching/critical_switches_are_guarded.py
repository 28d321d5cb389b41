"""A switch that one wrong move in flight must not touch has a guard or a locking lever.

Why: a knee, a sleeve or a dropped chart moves a bare toggle; engines have stopped by an ignition switch that was brushed off.

How judged: in each state of normal flight each switch is moved alone to each other position. It is one that matters where the move takes a function of
hazardous or catastrophic loss, stops a channel of a function of catastrophic loss, runs a starter, lets a contactor go, or where the switch changes such
a function over between sources. It must then be `guarded` or a `locking-lever`. A move that the file excludes cannot be made.

Not covered: a guard that is left open, breakers made as switches, two moves at once, and where on the panel the switch stands.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("cfr-23-1367", "(c), accessible"),
    ("practice", "start, master, ignition and change-over switches are guarded or lever-locked"),
)
REMEDY = "Fit a toggle with a locking lever, or a guard."


def subjects(facts: Facts):
    if not facts.states.declared:
        return []
    changing = [c.switch for c in facts.crew.changeovers] if facts.design.functions else []
    return [*(k.switch for k in facts.crew.knocks), *changing]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    guard = getattr(
        subject.part(facts.design), "guard", "guarded"
    )  # a breaker made as a switch has none to say
    if guard is None:
        raise NotAssessable(f"`guard` of {name}")
    if guard != "none":
        return
    own = [k for k in facts.crew.knocks if k.switch == subject.pointer]
    worst = max(own, key=_hazard, default=None)
    if worst is None:
        yield Unmet(f"{name} has no guard, and changes a critical function over.", field="guard")
        return
    yield Unmet(
        f"{name} has no guard: moved to {worst.position} it {_does(worst)}.",
        field="guard",
        state=worst.state,
        hazard=_hazard(worst),
    )


def _hazard(knock) -> HazardClass:
    return (
        HazardClass.HAZARDOUS
        if knock.functions
        else HazardClass.MAJOR
        if knock.starters
        else HazardClass.MINOR
    )


def _does(knock) -> str:
    if knock.functions:
        return f"takes {', '.join(knock.functions)}"
    if knock.starters:
        return f"runs {', '.join(knock.starters)}"
    return (
        f"stops {', '.join(knock.channels)}" if knock.channels else f"lets {', '.join(knock.contactors)} go"
    )
