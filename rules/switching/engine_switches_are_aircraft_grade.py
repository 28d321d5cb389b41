"""A switch that the engine depends on is aircraft grade.

Why: a household or automotive switch loosens under vibration and its contacts are not made for DC;
an ignition switch that opens stops the engine.

How judged: a switch is judged if one move of it, in a normal flight state, stops a channel of a
function of catastrophic loss. A channel is a magneto, or a load of a function that does not
continue without electricity, as by an engine-driven pump. Its `grade` must be `aircraft`. More
severe if that move loses the whole function.

Not covered: switch-rated breakers, and the rating of the switch, which another rule covers.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("ac-43-13-1b", "11-53, switches specifically designed for aircraft service"),
    ("practice", "no household switch in an engine circuit"),
)
REMEDY = "Fit a switch made and tested for aircraft."


def subjects(facts: Facts):
    return (
        [k.switch for k in facts.crew.inadvertent_operations if k.channels] if facts.states.declared else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    grade = subject.part(facts.design).grade
    if grade is None:
        raise NotAssessable(f"`grade` of {name}")
    if grade == "commercial":
        own = [k for k in facts.crew.inadvertent_operations if k.switch == subject.pointer and k.channels]
        first = next((k for k in own if k.functions), own[0])
        yield Unmet(
            f"Switch {name} of {', '.join(first.channels)} is commercial grade.",
            field="grade",
            state=first.state,
            numbers=(("switches", ", ".join(first.channels)),),
            hazard=HazardClass.HAZARDOUS if first.functions else None,
        )
