"""A warning whose lead is cut does not look as if all were well.

Why: a broken wire, a blown sense fuse or a burnt-out lamp makes a warning useless, and nobody knows until it is needed.

How judged: each wire, fuse and plug between what a warning senses and what shows it is opened, and so is a lamp. What reads otherwise in the dispatch state is
seen, unless it is a voltage that has only an `alarm-above`. What does not must change the reading in the state of a check that watches it. Judged are lamps,
monitors of something live, and those with an alarm above only.

Not covered: a sender that fails, and a reading that is wrong without being nothing.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "a warning fails to the side of the alarm, or is tried before flight"),)
REMEDY = "Give it an alarm on the side to which a cut lead falls, or a check before flight that lights it and watches it."


def subjects(facts: Facts):
    return [
        f"watch/monitors/{n}"
        for n, m in facts.design.watch.monitors.items()
        if (_silent(m) or m.shows == "live" or _lamp(m, facts)) and facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitor = facts.design.watch.monitors[name]
    if monitor.on is None:
        raise NotAssessable(f"`on` of {name}: what shows it")
    if not facts.detection.meters[name].drawn:
        raise NotAssessable(f"the wires from {monitor.senses} to an input or supply of {monitor.on}")
    cut = facts.detection.unseen_cuts(name, _silent(monitor))
    if cut:
        looks = "gives no alarm" if _silent(monitor) else "looks the same"
        yield Unmet(
            f"With {', '.join(bare(e) for e in cut)} open, {name} {looks}, and no check before flight would find it.",
            failure="open",
            field="senses",
        )


def _silent(monitor) -> bool:
    return monitor.alarm_above is not None and monitor.alarm_below is None


def _lamp(monitor, facts: Facts) -> bool:
    return monitor.on is not None and isinstance(facts.design.parts[monitor.on], parts.Load)
