"""A low-voltage warning does not lose its power together with what it monitors.

Why: the lamp that should warn of a dead bus is dark because that bus feeds it.

How judged: for each voltage with an `alarm-below`, every single failure in the normal state that
makes what it senses dead and what shows it unpowered. If nothing else is lost, it is that unit's
own breaker or wire, and its dark display is evident: no finding. Nor is there a finding where no
instrument and no lamp that was on is left with power, as in an aircraft of one bus. The dark panel
is evident, also beside a unit that goes on by its `internal-battery`. Several warnings lost with
their display to one failure are one finding. A lamp that goes out is no warning and is not judged.
A unit with an `internal-battery` that lasts for the `recognition-time` continues to warn.

Not covered: whether the alarm sounds, and warnings that the file does not list under `watch`.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, failed_words, few

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a warning is fed from another bus than the one it monitors, or from two"),)
REMEDY = (
    "Feed the display from a second bus or battery that is not lost with the first, by its own supply "
    "terminal or through diodes."
)


def subjects(facts: Facts):
    return [f"watch/monitors/{n}" for n in _monitors(facts)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitor = facts.design.watch.monitors[name]
    if monitor.displayed_on is None:
        raise NotAssessable(f"`displayed-on` of {name}: what shows it")
    failures = facts.detection.disabling_failures(name)
    alike = [n for n in _monitors(facts) if _alike(n, name, facts)] if failures else []
    if failures and alike[0] == name:
        first, *others = dict.fromkeys(f.element for f in failures)
        yield Unmet(
            f"{failed_words(first)} causes loss of {monitor.senses} and of "
            f"{monitor.displayed_on}, which should warn of it.",
            field="displayed-on",
            changes=(f"parts/{monitor.displayed_on}/feed",),
            state=facts.states.operation.normal,
            path=facts.states.circuit_path(
                facts.states.operation.normal, [f"parts/{monitor.displayed_on}"], first
            ),
            failure=f"{bare(first)} "
            + "; ".join(f.words(facts.network) for f in failures if f.element == first),
            remedy="Give the display a second return, by another route than the first."
            if facts.detection.loses_return(name, failures[0])
            else "",
            numbers=(
                ("senses", monitor.senses),
                *((("other warnings lost with it", ", ".join(alike[1:])),) if alike[1:] else ()),
                *((("same effect from failure of", few(list(map(bare, others)))),) if others else ()),
            ),
        )


def _monitors(facts: Facts) -> list[str]:
    monitors = facts.design.watch.monitors
    return [n for n, m in monitors.items() if m.shows == "voltage" and m.alarm_below is not None]


def _alike(one: str, other: str, facts: Facts) -> bool:
    """Whether two warnings on one display are lost by the same first failure."""
    monitors, lost = facts.design.watch.monitors, facts.detection.disabling_failures
    if monitors[one].displayed_on is None or monitors[one].displayed_on != monitors[other].displayed_on:
        return False
    return [f.element for f in lost(one)][:1] == [f.element for f in lost(other)][:1]
