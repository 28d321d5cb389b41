"""A low-voltage warning does not lose its power together with what it monitors.

Why: the lamp that should warn of a dead bus is dark because that bus feeds it.

How judged: for each voltage with an `alarm-below`, every single failure in the normal state that
makes what it senses dead and what shows it unpowered. If nothing else is lost, it is that unit's
own breaker or wire, and its dark display is seen: no finding. Nor is it one where no instrument and
no lamp that was on is left with power, as in an aircraft of one bus: the dark panel is seen. A lamp
that goes out is no warning and is not judged.

Not covered: whether the alarm sounds, and warnings that the file does not list under `watch`.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, few

HAZARD = HazardClass.MAJOR
FEW = 3
CITATIONS = (("practice", "a warning is fed from another bus than the one it monitors, or from two"),)
REMEDY = (
    "Feed the display from a second bus or battery that is not lost with the first, by its own supply "
    "terminal or through diodes."
)


def subjects(facts: Facts):
    return [
        f"watch/monitors/{n}"
        for n, m in facts.design.watch.monitors.items()
        if m.alarm_below is not None and facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitor = facts.design.watch.monitors[name]
    if monitor.displayed_on is None:
        raise NotAssessable(f"`displayed-on` of {name}: what shows it")
    failures = facts.detection.disabling_failures(name)
    if failures:
        elements = list(dict.fromkeys(bare(f.element) for f in failures))
        yield Unmet(
            f"Single failure of {elements[0]} causes loss of {monitor.senses} and of "
            f"{monitor.displayed_on}, which should warn of it.",
            field="displayed-on",
            state=facts.states.operation.normal,
            path=facts.states.circuit_path(
                facts.states.operation.normal, [f"parts/{monitor.displayed_on}"], failures[0].element
            ),
            failure=f"{elements[0]} "
            + "; ".join(f.words(facts.network) for f in failures if f.element == failures[0].element),
            numbers=(
                ("senses", monitor.senses),
                *((("same effect from failure of", few(elements[1:], FEW)),) if elements[1:] else ()),
            ),
        )
