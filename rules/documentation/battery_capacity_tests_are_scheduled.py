"""The interval of each battery's capacity test and its minimum capacity are stated.

Why: a battery loses capacity without a sign; it starts the engine on the morning of the flight on
which it does not last.

How judged: past the concept stage, `tested-every` and `replaced-below` are given, the interval at
most a year if written in days, weeks, months or years, the minimum capacity at least 80 % of the
rating.

Not covered: the method of the test.
"""

import re

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, percent, practice

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "capacity tested each year, replaced below 80 %"),)
REMEDY = (
    "State both on the battery and in the maintenance plan: tested each year, replaced below 80 % of "
    "rated capacity."
)

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
            "tested-every": "interval of its capacity test",
            "replaced-below": "minimum capacity",
        }
        yield Unmet(f"{name}: {' and '.join(words[key] for key in missing)} not stated.")
    if (
        battery.replaced_below is not None
        and battery.replaced_below < practice("factors", "battery-aged").low
    ):
        yield Unmet(
            f"{name} is replaced below {percent(battery.replaced_below)} of its capacity; usual minimum 80 "
            "%.",
            field="replaced-below",
        )
    written = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(day|week|month|year)s?\s*", battery.tested_every or "")
    if written and float(written[1]) * DAYS[written[2]] > 366:
        yield Unmet(
            f"The capacity of {name} is tested every {battery.tested_every.strip()}; usual interval one "
            "year.",
            field="tested-every",
        )
