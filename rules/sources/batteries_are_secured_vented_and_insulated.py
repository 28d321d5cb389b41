"""The design states that each battery is secured, vented and has insulated terminals.

Why: a loose battery, trapped gas, or a spanner across bare terminals starts a fire that no breaker
stops.

How judged: `secured`, `vented` and `terminals-insulated` are stated for each battery, and none is
false.

Not covered: the strength of the tray, and where the gas goes. This is documentation only.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "tray, vent and insulated terminals are declared for each battery"),)
REMEDY = (
    "Fit a tray with a hold-down, a vent overboard or a sealed battery, and covers over the terminals, "
    "and state them."
)
ASKED = {"secured": "secured", "vented": "vented", "terminals_insulated": "insulated at its terminals"}


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Battery)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    lacking = [words for key, words in ASKED.items() if getattr(part, key) is False]
    if lacking:
        first = next(key for key in ASKED if getattr(part, key) is False)
        yield Unmet(f"{name} is not {' and not '.join(lacking)}.", field=first.replace("_", "-"))
    unknown = [f"`{key.replace('_', '-')}`" for key in ASKED if getattr(part, key) is None]
    if unknown:
        raise NotAssessable(f"{and_list(unknown)} of {name}")
