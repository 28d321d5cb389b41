"""Every pre-flight check detects a failure, and each failure that it is declared to detect.

Why: a check that passes whatever has failed gives false confidence.

How judged: a failure is set in the state of the check, and what the check watches is compared with
and without it. It is detected where the reading of a monitor, or the difference of two voltmeters,
leaves the limits of the test card. It is too where a watched function, load or bus gains or loses
power. At least one single failure must be detected. Each part under `proves` must be when it is
open. For a diode it is enough that it is when shorted, for a switch or relay that it is when its
contacts stay where they are. Where figures are missing, a voltage has three levels (a source that
charges, a battery, none) and a current its direction. A magneto that the state declares `silent` is
detected when it fires, if the check watches its function: the drop in speed is missing. A load of a
critical function that goes on without it, as the second of two ignitions, is not seen to stop while
the engine runs.

Not covered: whether what is seen shows the expected result, and whether the crew does the check.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "a check is proved by performing it with the failure present"),
    ("ntsb", "CEN23LA014, no procedure tested the backup"),
)
REMEDY = (
    "Set the switches so that what is checked alone feeds what is watched, or watch something that "
    "depends on it."
)


def subjects(facts: Facts):
    return [f"watch/checks/{n}" for n in facts.design.watch.checks if facts.states.declared]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    check = facts.design.watch.checks[name]
    found = facts.detection.check_evidence(name)
    if found.misses:
        facts.detection.require_read([case.element for case in found.misses])
        modes: dict[str, list[str]] = {}
        for case in found.misses:
            modes.setdefault(bare(case.element), []).append(case.mode)
        alike: dict[str, list[str]] = {}
        for element, missed in modes.items():
            alike.setdefault(" or ".join(missed), []).append(element)
        said = [f"{', '.join(elements)} {mode}" for mode, elements in alike.items()]
        limits = facts.detection.limits
        dark = dict.fromkeys(limits.dark_in(check.state, check.watch).values())
        yield Unmet(
            f"Pre-flight check {name} does not detect {', nor '.join(said)}, which it is declared to prove.",
            field="proves",
            elements=tuple(dict.fromkeys(case.element for case in found.misses)),
            changes=(f"{subject.pointer}/proves", *_unconnected({c.element for c in found.misses}, facts)),
            state=check.state,
            failure="; ".join(said),
            numbers=limits.in_words(check.state, check.watch),
            remedy=f"Check in a state in which {and_list(dark)} has power." if dark else "",
        )
    elif not found.notices:
        yield Unmet(f"Pre-flight check {name} detects no single failure.", field="watch", state=check.state)


def _unconnected(elements: set[str], facts: Facts) -> list[str]:
    """The lead that is missing, where there is one part that nothing can show as it is in no circuit."""
    if len(elements) != 1:
        return []
    (element,) = elements
    return facts.detection.left_open(bare(element)) if element.startswith("parts/") else []
