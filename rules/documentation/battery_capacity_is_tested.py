"""How often each battery's capacity is measured is stated, and below which share of its rating it is replaced.

Why: a battery loses its capacity without a sign; it starts the engine on the morning of the flight on which it does not last.

How judged: past the concept stage, `tested-every` and `replaced-below` are given, the time at most a year where it is written in days, weeks, months or
years, the share at least 80 %.

Not covered: how it is measured.
"""

import re

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, percent

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "capacity measured each year, replaced below 80 %"),)
REMEDY = "State both on the battery and in the maintenance plan: measured each year, replaced below 80 % of its rating."

DAYS = {"day": 1, "week": 7, "month": 30.4, "year": 365}


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Battery)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    battery = subject.part(facts.design)
    missing = [
        key
        for key, value in (("tested-every", battery.tested_every), ("replaced-below", battery.replaced_below))
        if value is None
    ]
    if missing and facts.design.aircraft.stage == "concept":
        raise NotAssessable(" and ".join(f"`{key}`" for key in missing))
    if missing:
        words = {
            "tested-every": "how often its capacity is measured",
            "replaced-below": "below which share of it it is replaced",
        }
        yield Unmet(f"Nothing says of {name} {', and '.join(words[key] for key in missing)}.")
    if battery.replaced_below is not None and battery.replaced_below < 0.8:
        yield Unmet(
            f"{name} is replaced only below {percent(battery.replaced_below)} of its capacity; 80 % is usual.",
            field="replaced-below",
        )
    written = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(day|week|month|year)s?\s*", battery.tested_every or "")
    if written and float(written[1]) * DAYS[written[2]] > 366:
        yield Unmet(
            f"The capacity of {name} is measured every {battery.tested_every.strip()}; a year is usual.",
            field="tested-every",
        )
