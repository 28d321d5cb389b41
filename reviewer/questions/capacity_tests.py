"""The capacity test of each battery: the current, the time that a new one is expected to last, and
the time below which it is replaced; and the endurance as an installer prints it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.ratings.capacity import CapacityTest, capacity_test, rated_hours
from reviewer.analysis.ratings.supply import seconds_on_allowance
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.endurance.battery_endurance import BatteryEndurance
    from reviewer.analysis.facts import Facts
    from reviewer.questions.budget import Budget


@record
class ExpectedTest:
    """A test of a battery down to ``end_volts`` at its terminals; ``at`` says what the current is:
    its rated one, or the largest after a loss. ``declared`` where the file gives the capacity at
    which it is replaced."""

    battery: str
    at: str
    end_volts: float
    found: CapacityTest
    declared: bool


@record
class PrintedEndurance:
    """Seconds that a battery lasts by its rated capacity alone, a usable share of it divided by the
    currents of the discharge, as load analyses are printed; ``ours`` are those of this review."""

    battery: str
    seconds: float
    ours: float


def capacity_tests(facts: Facts, budget: Budget | None) -> tuple[ExpectedTest, ...]:
    """The tests of each battery with a capacity, a chemistry and a current."""
    found = []
    for name in facts.design.of_kind(p.Battery):
        part = facts.design.part(name, p.Battery)
        if part.capacity is None or part.chemistry is None:
            continue
        currents = {"rated current": part.capacity / rated_hours(part)}
        for one in budget.lasting if budget else ():
            if one.battery == name and not math.isinf(one.seconds):
                most = max(run.first_a for run in one.found.runs)
                after = " after " + " and ".join(one.lost) + " lost" if one.lost else " in flight"
                currents["largest current" + after] = most
        found += [
            ExpectedTest(
                name,
                at,
                _end_volts(facts, name, part),
                capacity_test(part, amps),
                part.minimum_capacity is not None,
            )
            for at, amps in currents.items()
        ]
    return tuple(found)


def _end_volts(facts: Facts, battery: str, part: p.Battery) -> float:
    """Volts at which a test ends; of each battery of a string its own."""
    if part.low_voltage_disconnect is not None:
        return part.low_voltage_disconnect
    usual = "tested-to-lead-acid" if part.chemistry == "lead-acid" else "tested-to-lithium"
    return practice("volts", usual).low * facts.design.scale_of(battery)


def printed_endurance(facts: Facts, lasting: Sequence[BatteryEndurance]) -> tuple[PrintedEndurance, ...]:
    """The endurance of each battery by ampere-hours alone, with the currents that were solved."""
    found = []
    for one in lasting:
        capacity = facts.design.part(one.battery, p.Battery).capacity
        if capacity is not None and not math.isinf(one.seconds):
            runs = [(run.seconds, (run.first_a + run.last_a) / 2) for run in one.found.runs]
            seconds = seconds_on_allowance(capacity, runs)
            found.append(PrintedEndurance(one.battery, seconds, one.seconds))
    return tuple(found)
