"""The loss of each battery and alternator shows on a monitor, or in use.

Why: sensed on the far side of a charging diode, or only where an alternator answers for it, a battery that is dead or off its lead reads as well as a
good one.

How judged: each battery and alternator is lost in every declared state. In at least one of them a monitor must read otherwise than with the source there, a
dark display included; or, in the dispatch state or the state of a phase, a function must be lost, an instrument go dark or the starter not turn. Volts have
three levels: of something that charges, of a battery, none; amperes have their direction.

Not covered: a battery that is weak and not dead, and whether anybody looks in that state.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "a monitor is proved in a state in which its source alone feeds it"),
    ("ntsb", "event 20180529X02415, a reserve whose lead was off"),
)
REMEDY = "Sense at the source's own post, and declare a state in which the display has power and nothing else feeds that post, such as a check before start."


def subjects(facts: Facts):
    return [
        f"parts/{n}" for n in facts.design.of_kind((parts.Battery, parts.Alternator)) if facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    if not facts.design.watch.monitors:
        raise NotAssessable("`watch` with its `monitors`")
    if facts.detection.missed_sources[subject.pointer] is None:
        yield Unmet(
            f"{subject.name} can be lost, and in no declared state does a monitor read otherwise.",
            numbers=(
                ("monitors", ", ".join(f"{n} at {m.senses}" for n, m in facts.design.watch.monitors.items())),
                ("states", ", ".join(facts.states.declared)),
            ),
        )
