"""A switch by which the flight goes on is of aircraft grade.

Why: a switch of the household or car trade loosens under vibration and its contacts are not made for direct current; an ignition switch that lets go stops
the engine.

How judged: a switch is one of these where one move of it, in a state of normal flight, stops a channel of a function whose loss is catastrophic. Its
`grade` must be `aircraft`. Where that move takes the whole function, the finding is graver.

Not covered: breakers made as switches, and whether a switch of aircraft grade is the right one: its rating is judged by another rule.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-53, switches specifically designed for aircraft service"),
    ("practice", "no household switch in an engine's circuit"),
)
REMEDY = "Fit a switch that is made and tested for aircraft."


def subjects(facts: Facts):
    return [k.switch for k in facts.crew.knocks if k.channels] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    grade = subject.part(facts.design).grade
    if grade is None:
        raise NotAssessable(f"`grade` of {name}")
    if grade == "commercial":
        own = [k for k in facts.crew.knocks if k.switch == subject.pointer and k.channels]
        first = next((k for k in own if k.functions), own[0])
        yield Unmet(
            f"{name} is of commercial grade and feeds {', '.join(first.channels)}.",
            field="grade",
            state=first.state,
            hazard=HazardClass.HAZARDOUS if first.functions else None,
        )
