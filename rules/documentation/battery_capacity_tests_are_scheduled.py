"""The interval of each battery's capacity test and its minimum capacity are stated.

Why: a battery loses capacity without a sign; it starts the engine on the morning of the flight on
which it does not last.

How judged: past the concept stage, `capacity-test-interval` and `minimum-capacity` are given. The
interval is at most a year if written in days, weeks, months or years, the minimum capacity at least
80 % of the rating.

Not covered: the method of the test.
"""

import re

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    and_list,
    parts,
    percent,
    practice,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
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
        for key, value in (
            ("capacity-test-interval", battery.capacity_test_interval),
            ("minimum-capacity", battery.minimum_capacity),
        )
        if value is None
    ]
    if missing and facts.design.aircraft.stage == "concept":
        raise NotAssessable(and_list(f"`{key}`" for key in missing))
    if missing:
        words = {
            "capacity-test-interval": "capacity test interval",
            "minimum-capacity": "minimum capacity",
        }
        yield Unmet(f"{name}: {and_list(words[key] for key in missing)} not stated.")
    if (
        battery.minimum_capacity is not None
        and battery.minimum_capacity < practice("factors", "battery-aged").low
    ):
        yield Unmet(
            f"{name} is replaced below {percent(battery.minimum_capacity)} of its capacity; usual minimum 80 "
            "%.",
            field="minimum-capacity",
        )
    written = re.fullmatch(
        r"\s*(\d+(?:\.\d+)?)\s*(day|week|month|year)s?\s*", battery.capacity_test_interval or ""
    )
    if written and float(written[1]) * DAYS[written[2]] > 366:
        yield Unmet(
            f"The capacity of {name} is tested every {battery.capacity_test_interval.strip()}; usual "
            "interval one "
            "year.",
            field="capacity-test-interval",
        )
