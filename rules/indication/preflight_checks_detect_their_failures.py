"""Every pre-flight check detects a failure, and each failure that it is declared to detect.

Why: a check that passes whatever has failed gives false confidence.

How judged: in the state of the check, at least one single failure must change what it watches. It
takes the solved reading of a monitor, or the difference of two voltmeters, out of the limits on the
test card. Or it changes whether a function, load or bus is powered. Each part under `proves` must
do so when open, and a diode when shorted too. A switch or relay must also with contacts that stay
where they are, as for a check that a disconnect opens. Where figures are missing, a voltage has
three levels: of a charging source, of a battery, none; and a current its direction. Where the check
watches a function and its state declares a channel `silent`, a magneto, that one shows too when it
fires: the drop in speed is missing. A load of a critical function that goes on without it, as the
second of two ignitions, is not seen to stop while the engine runs.

Not covered: whether what is seen shows the expected result, and whether the crew does the check.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

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
            remedy=f"Check in a state in which {' and '.join(dark)} has power." if dark else "",
        )
    elif not found.notices:
        yield Unmet(f"Pre-flight check {name} detects no single failure.", field="watch", state=check.state)


def _unconnected(elements: set[str], facts: Facts) -> list[str]:
    """The lead that is missing, where there is one part that nothing can show as it is in no circuit."""
    if len(elements) != 1:
        return []
    (element,) = elements
    return facts.detection.left_open(bare(element)) if element.startswith("parts/") else []
