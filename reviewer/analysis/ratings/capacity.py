"""What a battery gives on a day: the share of its capacity that the temperature leaves, and the
time of an expected capacity test."""

from __future__ import annotations

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.tables.practice import practice

#: degrees Celsius of the trade's share for a cold battery
COLD_C = -10.0
#: degrees Celsius at which batteries are rated and tested
RATED_C = 25.0
#: the time in which most batteries give their rated capacity, hours
RATED_H = 20.0


def share_at(celsius: float) -> float:
    """The share of its capacity that a battery has at a temperature, 0 to 1: the trade's figure at
    -10 C, all of it from 25 C on, a straight line between (common practice, no published source;
    the loss grows faster in the cold, so the line is on the low side). Raises NotAssessable below
    -10 C."""
    if celsius < COLD_C:
        raise NotAssessable(
            f"the share of its capacity that it has at {celsius:g} C; the trade's figure is for {COLD_C:g} C"
        )
    cold = practice("factors", "battery-at-minus-10-c").low
    return min(1.0, cold + (1.0 - cold) * (celsius - COLD_C) / (RATED_C - COLD_C))


def rated_hours(part: p.Battery) -> float:
    """The time in which a battery gives its rated capacity, hours."""
    return RATED_H if part.capacity_rate is None else part.capacity_rate / 3600


def rate_exponents(part: p.Battery) -> tuple[float, float]:
    """The range of Peukert's exponent of a battery by its chemistry and construction; of a
    lead-acid battery of unknown construction that of one with a glass mat."""
    lithium = part.chemistry == "lithium-iron-phosphate"
    found = practice("factors", f"rate-exponent-{'lithium' if lithium else part.construction or 'agm'}")
    return found.low, found.high


def replaced_below(part: p.Battery) -> float:
    """The share of its rated capacity below which a battery is replaced: the file's, else common
    practice."""
    return practice("factors", "battery-aged").low if part.minimum_capacity is None else part.minimum_capacity


@record
class CapacityTest:
    """A test of a charged, warm battery at a steady current: what is expected of a new one,
    shortest and longest, and the time below which it is replaced, None where the rate exponent
    leaves it open; seconds."""

    amperes: float
    shortest: float
    longest: float
    replace_below: float | None


def capacity_test(part: p.Battery, amperes: float) -> CapacityTest:
    """The test at a current. At its rated current the exponent does not matter; at another a good
    battery at the short end of the range might do worse than a worn one at the long end. Raises
    NotAssessable without a capacity."""
    if part.capacity is None:
        raise NotAssessable("`capacity`")
    times = [
        seconds_to_empty(Store(part.capacity, exponent, 1.0, 1.0, rated_hours(part)), amperes)
        for exponent in rate_exponents(part)
    ]
    known = max(times) <= min(times) * (1 + 1e-9)
    return CapacityTest(amperes, min(times), max(times), replaced_below(part) * max(times) if known else None)
