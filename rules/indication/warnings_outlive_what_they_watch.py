"""No warning of low volts loses its own power with what it watches.

Why: the lamp that should tell of a dead bus is dark because it hangs on that bus.

How judged: for each voltage with an `alarm-below`, every single failure in the dispatch state under which what it senses is dead and what shows it is without
power too. Where nothing else dies, it is that unit's own breaker or wire, and its darkness is seen: no case. A lamp that goes out is no warning and is not judged.

Not covered: whether the alarm sounds, and warnings that the file does not list under `watch`.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.MAJOR
FEW = 3
CITATIONS = (("practice", "a warning is fed from another bus than the one that it warns of, or from two"),)
REMEDY = "Feed what shows it from a second bus or battery that does not go with the first, by a supply terminal of its own or through diodes."


def subjects(facts: Facts):
    return [
        f"watch/monitors/{n}"
        for n, m in facts.design.watch.monitors.items()
        if m.alarm_below is not None and facts.states.declared
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitor = facts.design.watch.monitors[name]
    if monitor.on is None:
        raise NotAssessable(f"`on` of {name}: what shows it")
    failures = facts.detection.silencing(name)
    if failures:
        elements = list(dict.fromkeys(bare(f.element) for f in failures))
        yield Unmet(
            f"When {elements[0]} fails, {monitor.senses} is dead and so is {monitor.on}, which should tell of it.",
            field="on",
            state=facts.states.operation.dispatch,
            failure="; ".join(f.words(facts.network) for f in failures if f.element == failures[0].element),
            numbers=(("others that do it", _few(elements[1:])),) if len(elements) > 1 else (),
        )


def _few(names: list[str]) -> str:
    return ", ".join(names[:FEW]) + (f" and {len(names) - FEW} more" if len(names) > FEW else "")
