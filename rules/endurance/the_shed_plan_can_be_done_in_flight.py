"""Each action of the shed plan can be done in flight and takes load off.

Why: a plan that asks for a fuse behind the panel is no plan, and neither is one that switches off what was dead already.

How judged: the actions of `shedding`, one after the other from the dispatch state without the alternator. Each protector that is pulled must be within
reach in flight, the switches must be free to stand so, and some load or coil must lose its power.

Not covered: loads that shed themselves; how many amperes go (`reviewer budget` shows it, and main-batteries-last-after-the-alternator counts it).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "what is to be shed has a switch or breaker of its own in reach"),)
REMEDY = "Give what is to be shed a switch or a breaker in reach, or put it behind one switch or relay."


def subjects(facts: Facts):
    if facts.design.operation is None:
        return []
    return [f"operation/actions/{n}" for n in dict.fromkeys(facts.states.operation.shedding)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    pulled = [n for n, to in facts.states.operation.actions[name].move.items() if to == "pulled"]
    away = [n for n in pulled if facts.design.parts[n].reach == "on-ground"]
    if away:
        yield Unmet(f"{name} pulls {' and '.join(away)}, which cannot be reached in flight.", field="move")
        return
    unknown = [n for n in pulled if facts.design.parts[n].reach is None]
    if unknown:
        raise NotAssessable(f"`reach` of {', '.join(unknown)}")
    shed = next(s for s in facts.endurance.shed_plan if s.action == name)
    if shed.forbidden:
        yield Unmet(f"After {name} the switches stand as `excluded` says that they cannot.", field="move")
    elif not shed.loads:
        yield Unmet(
            f"{name} takes power from no load when its turn comes: what it moves carries nothing then.",
            field="move",
        )
