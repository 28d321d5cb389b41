"""A switch whose inadvertent operation in flight is critical has a guard or a locking lever.

Why: a knee, a sleeve or a dropped chart moves a bare toggle; engines have stopped by an ignition
switch that was brushed off.

How judged: in each normal flight state each switch is moved alone to each other position. It is
critical if the move loses a function of hazardous or catastrophic loss, or stops a channel of a
function of catastrophic loss. A channel is a magneto, or a load, unless the function continues
without any electrical power, as by an engine-driven pump. It is critical too if the move runs a
starter, or if the switch changes such a function over. So it is if it drops out a contactor, or a
relay in its place, and with it a source of such a function or a battery from every bus. It must
then be `guarded`, a `locking-lever` or a `key`. Where the move sets an `excluded` combination, the
other switch is moved with it, as by a bar; a momentary position moves none and is not set. A gate
that holds the switch instead is its guard: declare it as `guarded`. Switches that are not operated
by hand are not judged.

Not covered: a guard left open, switch-rated breakers, two switches moved by themselves at once, and
the switch's place on the panel.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("cfr-23-1145", "(c), ignition switches have a means against inadvertent operation"),
    ("practice", "start, master, ignition and change-over switches are guarded or lever-locked"),
)
REMEDY = "Fit a toggle with a locking lever, or a guard."


def subjects(facts: Facts):
    changing = [c.switch for c in facts.crew.changeovers] if facts.design.functions else []
    return [*(k.switch for k in facts.crew.inadvertent_operations), *changing]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    # a switch-rated breaker has no guard to state
    guard = getattr(subject.part(facts.design), "guard", "guarded")
    if guard is None:
        raise NotAssessable(f"`guard` of {name}")
    if guard != "none":
        return
    own = [k for k in facts.crew.inadvertent_operations if k.switch == subject.pointer]
    worst = max(own, key=_hazard, default=None)
    if worst is None:
        yield Unmet(f"{name} has no guard and changes a critical function over.", field="guard")
        return
    taken = "".join(f", with {switch} moved to {at}," for switch, at in worst.along)
    yield Unmet(
        f"{name} has no guard: inadvertently moved to {worst.position}{taken} it {_does(worst)}.",
        field="guard",
        state=worst.state,
        numbers=(("effect", _does(worst)),),
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
        return f"causes loss of {', '.join(knock.functions)}"
    if knock.starters:
        return f"runs {', '.join(knock.starters)}"
    return (
        f"stops {', '.join(knock.channels)}" if knock.channels else f"drops out {', '.join(knock.contactors)}"
    )
