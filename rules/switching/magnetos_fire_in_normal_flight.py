"""Each magneto fires in normal flight.

Why: the switch of a magneto grounds it to stop it, so that its contacts are closed where those of
other switches are open. Drawn the wrong way round, the magneto is silent in flight and fires when
it is off.

How judged: the p-lead of each magneto in every state of use `flight` with the engine running. If it
reaches the magneto's own ground in all of them, and one of them neither declares it `silent` nor
has it off, that is a finding. Hazard: that of its function that is lost without all that are
grounded so; major if it is a channel of a hazardous or catastrophic function.

Not covered: a magneto that fires in some of these states; the timing and the state of a magneto.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD, CONSEQUENCE = HazardClass.MINOR, "not there when wanted"
CITATIONS = (("practice", "a closed ignition switch grounds the magneto: off is closed, on is open"),)
REMEDY = "Exchange the positions of its switch, or open what joins its p-lead to ground in flight."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Magneto)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    if grounded := facts.detection.never_fires(subject.name):
        state, path = grounded
        yield Unmet(
            f"{subject.name} is grounded in {state} and in every other state of normal flight with the "
            "engine running: it does not fire.",
            state=state,
            path=path,
            hazard=_hazard(subject.name, facts),
        )


def _hazard(name: str, facts: Facts) -> HazardClass | None:
    """That of the worst function of a magneto that is lost with all that are grounded."""
    own = [f for f in facts.design.functions if name in facts.states.units_of(f)]
    dark = [n for n in facts.design.of_kind(parts.Magneto) if facts.detection.never_fires(n)]
    hazards = {f: HazardClass.of(facts.design.functions[f].loss) for f in own}
    lost = [hazards[f] for f in own if facts.states.lost_with(f, dark)]
    channel = any(hazard >= HazardClass.HAZARDOUS for hazard in hazards.values())
    return max([*lost, *([HazardClass.MAJOR] if channel else [])], default=None)
