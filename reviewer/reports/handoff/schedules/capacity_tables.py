"""Capacity tests of the batteries, and their endurance by ampere-hours alone, as schedules."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.questions.capacity_tests import ExpectedTest, PrintedEndurance
from reviewer.reports.handoff.schedules.schedule import Schedule, minutes, number
from reviewer.tables.practice import COMMON_PRACTICE

_TESTS = (
    "A charged battery at 20 to 25 C, alone on a load, discharged at a steady current to the named voltage. "
    "A new battery lasts from the shortest to the longest time. One that does not last the time "
    "below which it is replaced has lost its capacity. The range is that of the rate exponent (common "
    "practice, no published source)."
)
_PRINTED = (
    "Endurance by ampere-hours alone, as in a printed load analysis: 0.75 of the rated capacity over "
    "the currents of this review, no rate, no age and no cold (emergency power example of an avionics "
    "installation manual, secondary). The endurance of this review beside it takes all of them."
)


def tests(expected: Sequence[ExpectedTest]) -> Schedule | None:
    """The capacity test of each battery; None where no battery has a capacity."""
    columns = (
        "battery",
        "current is",
        "test current, A",
        "end voltage, V",
        "new battery, minimum, min",
        "new battery, maximum, min",
        "replace below, min",
        "minimum capacity is",
        "measured, min",
        "by",
        "date",
    )
    rows = tuple(
        (
            one.battery,
            one.at,
            number(one.found.amperes, 2),
            number(one.end_volts, 1),
            minutes(one.found.shortest),
            minutes(one.found.longest),
            "see rated current" if one.found.replace_below is None else minutes(one.found.replace_below),
            "declared" if one.declared else f"80 %, {COMMON_PRACTICE}",
            "",
            "",
            "",
        )
        for one in expected
    )
    return Schedule("capacity-tests", "Battery capacity tests", _TESTS, columns, rows) if rows else None


def printed(found: Sequence[PrintedEndurance]) -> Schedule | None:
    """The endurance of each battery by ampere-hours beside that of the review; None without one."""
    columns = ("battery", "endurance by 0.75 of rated capacity, min", "endurance in this review, min")
    rows = tuple((one.battery, minutes(one.seconds), minutes(one.ours)) for one in found)
    title = "Endurance by ampere-hours alone"
    return Schedule("printed-endurance", title, _PRINTED, columns, rows) if rows else None
