"""An ammeter reads what the crew is told that it reads.

Why: an ammeter in the alternator's lead says nothing of the battery, one in the battery's lead nothing of the alternator, and one that charging current
runs through is no load meter; a crew that takes one for the other reads health into a failing system.

How judged: the reading is solved in every declared state but cranking, with the alternators lost, and for a load meter with the main batteries half full.
`tells: alternator-output` must read what one alternator gives, `battery-charge` what one battery takes or gives, `load` never less than nothing and no more
while they charge. One ampere or 5 % may be wrong: values of this reviewer's own.

Not covered: the error of the gauge, words on the panel that say otherwise, and an ammeter on the field.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("practice", "the placard and the manual say what an ammeter shows"),
    ("ac-43-13-1b", "11-35c, ammeter in the battery lead"),
)
REMEDY = "Move the shunt or its taps, or tell the crew what it shows."


def subjects(facts: Facts):
    return (
        [f"watch/monitors/{n}" for n, m in facts.design.watch.monitors.items() if m.shows == "current"]
        if facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    tells = facts.design.watch.monitors[name].tells
    if tells is None:
        raise NotAssessable(f"`tells` of {name}")
    wrong = facts.sources.misread(name, tells)
    if wrong:
        yield Unmet(
            f"{name} tells {tells.replace('-', ' ')} and reads {wrong.reads:.1f} A where it is {wrong.told:.1f} A of {wrong.of}.",
            field="tells",
            state=wrong.state,
            numbers=(
                ("reading", f"{wrong.reads:.2f} A"),
                ("told", f"{wrong.told:.2f} A"),
                ("in", wrong.where),
            ),
        )
