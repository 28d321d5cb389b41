"""A warning with an open sense lead does not look normal.

Why: a broken wire, a blown sense fuse or a burnt-out lamp disables a warning, and nobody knows
until it is needed.

How judged: each wire, fuse and connector between what a warning senses and what shows it is opened,
and so is a lamp. A reading out of its limits in the normal state is evident, unless it is a voltage
with only an `alarm-above`. Otherwise it must leave them in the state of a check that watches it, or
the lamp that shows it must change in a check that watches the lamp. Lamps, monitors of something
live, and those with only an alarm above are judged.

Not covered: a failed sender, and a reading that is wrong but not zero.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a warning fails to the alarm side, or is tested before flight"),)
REMEDY = (
    "Add an alarm on the side to which the reading goes with the lead open, or a pre-flight check that "
    "lights the warning and watches it."
)


def subjects(facts: Facts):
    return [
        f"watch/monitors/{n}"
        for n, m in facts.design.watch.monitors.items()
        if (_silent(m) or m.shows == "live" or _lamp(m, facts)) and facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitor = facts.design.watch.monitors[name]
    if monitor.displayed_on is None:
        raise NotAssessable(f"`displayed-on` of {name}: what shows it")
    if not facts.detection.meters[name].drawn:
        raise NotAssessable(
            f"the wires from {monitor.senses} to an input or supply of {monitor.displayed_on}"
        )
    cut = facts.detection.undetected_opens(name, _silent(monitor))
    if cut and _kind_unknown(monitor, facts):
        raise NotAssessable(f"`type` of {monitor.displayed_on}: lamp, or `kind: instrument` of a meter")
    if cut:
        facts.detection.require_read(cut)
        looks = "gives no alarm" if _silent(monitor) else "reads the same"
        yield Unmet(
            f"Warning {name} {looks} with {', '.join(bare(e) for e in cut)} open, and no pre-flight check "
            "detects it.",
            failure=f"one of {', '.join(map(bare, cut))} open",
            field="senses",
        )


def _silent(monitor) -> bool:
    return monitor.alarm_above is not None and monitor.alarm_below is None


def _lamp(monitor, facts: Facts) -> bool:
    load = _load(monitor, facts)
    return load is not None and load.type in (None, "lamp")


def _kind_unknown(monitor, facts: Facts) -> bool:
    """Whether it is judged only as a lamp, and the load that shows it may as well be a meter."""
    load = _load(monitor, facts)
    return load is not None and load.type is None and not _silent(monitor) and monitor.shows != "live"


def _load(monitor, facts: Facts):
    part = facts.design.parts.get(monitor.displayed_on)
    return part if isinstance(part, parts.Load) else None
