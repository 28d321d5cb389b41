"""A check shows each single failure that leaves a magneto hot on the ground.

Why: an open p-lead, or an ignition switch that has lost its ground, changes nothing in flight. It
is known by whoever moves the propeller next.

How judged: in a state on the ground with the engine stopped, each part and wire fails open in turn.
Where that leaves a magneto without its ground that the state declares `silent`, a check must show
it: with the failure, what the check watches changes in its state. So does a check whose state
declares the magneto `silent` with the engine turning, if it watches the magneto or a function of
which that is a channel. The drop in speed is missing, or the engine does not stop.

Not covered: whether the crew does the check at each shutdown; contacts that weld.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "magnetos are switched off for a moment at idle before the engine is stopped"),)
REMEDY = (
    "Declare a check at idle in which the ignition switch grounds each magneto, or runs on the other one, "
    "and watch the ignition."
)


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    unseen = facts.detection.unseen_hot(subject.name)
    if unseen is None:
        return
    elements = list(dict.fromkeys(bare(f.element) for f in unseen.failures))
    yield Unmet(
        f"No check shows that {subject.name} is no longer grounded after a single failure of "
        f"{few(elements)}.",
        state=unseen.state,
        failure=f"{elements[0]} {unseen.failures[0].mode.value}",
        path=unseen.path,
        numbers=(("failures", ", ".join(elements)),),
    )
