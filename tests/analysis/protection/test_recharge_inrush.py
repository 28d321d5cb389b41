"""The first current into a flat reserve, and the recharge that an alternator limits, against loops worked by hand."""

from __future__ import annotations

from collections.abc import Callable
from math import log

import pytest

from reviewer.tables.batteries import open_circuit_voltage
from tests.analysis.small_aircraft import small

RING = 0.0002
#: thermal voltage at 20 C, and the emission of a Schottky diode that the tool takes
THERMAL_V, EMISSION = 0.02526, 1.2


def loads(bus: float) -> tuple[float, float]:
    """Amperes of all loads, coil and field at the volts of the bus, and of the field alone: heater, coil and field are resistors, the
    pump takes 3 A, the radio 28 W behind a diode."""
    field = bus / (14 / 3 + 0.070)
    return bus / (1.4 + 0.057) + 3.0 + 28 / (bus - 0.52) + bus / (20 + 0.05) + field, field


def drop(amps: float) -> float:
    """Volts of the charge diode: 0.5 V at 10 A."""
    return 0.5 + EMISSION * THERMAL_V * log(amps / 10)


def lost(amps: float, others: float, field: float) -> float:
    """Volts that the loop from the alternator through the reserve loses, at the current into the reserve and that of the loads."""
    own = (
        0.010 + 0.010 + 0.007 + 0.010 + 0.020 + 0.002 + 2 * RING
    )  # charge lead, fuse, battery, its return, a ring at bus and block
    out, back = 0.002 + RING, 0.002 + 0.0005 + 3 * RING
    return own * amps + drop(amps) + out * (amps + others) + back * (amps + others - field)


def balanced(misses: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function is zero."""
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if misses(middle) > 0 else (middle, high)
    return low


LITHIUM = "chemistry: lithium-iron-phosphate, capacity: 5 Ah,"


@pytest.mark.parametrize(
    ("chemistry", "flat"), [("chemistry: lead-acid, capacity: 5 Ah,", 11.8), (LITHIUM, 10.0)]
)
def test_the_first_current_is_that_at_which_the_loop_loses_what_the_alternator_has_over_the_battery(
    chemistry: str, flat: float
) -> None:
    facts = small(("rating: 40 A,", "rating: 400 A,"), ("chemistry: lead-acid, capacity: 5 Ah,", chemistry))
    found = facts.protection.recharge_inrush_of("reserve")
    others, field = loads(14.15)
    by_hand = balanced(lambda amps: lost(amps, others, field) - (14.4 - flat), 1.0, 200.0)
    assert found is not None and found.flat == flat
    assert found.amps == pytest.approx(by_hand, rel=5e-3)


def test_a_weak_alternator_gives_a_flat_lithium_reserve_what_is_left_with_the_help_of_the_main_battery() -> (
    None
):
    """40 A: the bus falls until the main battery, full, gives what it lacks."""
    facts = small(("chemistry: lead-acid, capacity: 5 Ah,", LITHIUM))
    found = facts.sources.first_charge("parts/reserve")
    bus = found.point.volts["main-bus.alternator"] - found.point.volts["block.strap"]
    helped = found.point.given["parts/main-battery"]
    assert 12.3 < bus < 12.6 and helped > 5  # below the 12.8 V or so at rest of a full lead-acid battery
    assert found.amps == pytest.approx(40.0 + helped - loads(bus)[0], abs=0.15)
    own = 0.010 + 0.010 + 0.007 + 0.010 + 0.020 + 0.002 + 3 * RING
    assert bus - 10.0 == pytest.approx(own * found.amps + drop(found.amps), abs=0.03)


def test_a_lithium_battery_is_recharged_after_a_discharge_with_what_the_alternator_has_left() -> None:
    """25 A, 17 Ah from nothing, by hand: the bus stands where the battery takes what the loads leave of them, in two thousand equal steps
    of charge; below 12.4 V the reserve feeds the radio. The last of it takes no time: what the battery accepts falls off within a
    hundredth of the charge."""
    battery = "main-battery: {kind: battery, chemistry: %s, capacity: 17 Ah, internal-resistance: 0.010 ohm}"
    facts = small(
        ("rating: 40 A,", "rating: 25 A,"), (battery % "lead-acid", battery % "lithium-iron-phosphate")
    )
    course = facts.sources.recharge("parts/main-battery", 1.0)
    assert 25.0 - loads(13.35)[0] == pytest.approx(7.1, abs=0.1)
    loop = 0.010 + 0.005  # the battery, and its leads and contacts
    taken = []
    for step in range(2000):
        rest = open_circuit_voltage("lithium-iron-phosphate", (step + 0.5) / 2000).value

        def misses(volts: float, rest: float = rest) -> float:
            by_reserve = 28 / (volts - 0.52) if volts < 12.42 else 0.0
            return (volts - rest) / loop + loads(volts)[0] - by_reserve - 25.0

        bus = balanced(misses, rest, 14.4)
        taken.append((bus - rest) / loop)
    by_hand = sum(17 * 3600 / 2000 / amps for amps in taken)
    assert course.first == pytest.approx(taken[0], rel=0.02)
    assert course.seconds == pytest.approx(by_hand, rel=0.01)
    assert course.basis == "resistance of the circuit, and what the alternators can deliver"


def test_the_inrush_is_the_voltage_left_over_the_resistance_of_the_loop() -> None:
    """14.4 V of the alternator, less 11.8 V of a flat battery and 0.5 V of the diode.

    The battery is lead-acid; bus, block and engine have two rings each.
    """
    found = small(("rating: 40 A,", "rating: 400 A,")).protection.recharge_inrush_of("reserve")
    assert found is not None
    out, back = 0.002 + 0.010 + 0.010 + 0.007 + 0.010, 0.0005 + 0.002 + 0.002
    loop = 0.020 + out + back + 3 * 2 * RING
    assert found.ohms == pytest.approx(loop - 0.020, rel=1e-6)
    assert found.amps == pytest.approx(
        (14.4 - 11.8 - 0.5) / loop, rel=0.08
    )  # what the loads drop, and the curve of the diode
    assert (tuple(found.protectors), tuple(found.diodes)) == (("charge-fuse",), ("charge-diode",))
    assert found.protectors["charge-fuse"] == pytest.approx(found.amps, rel=0.01)
    assert (found.givers, found.state) == (("alternator",), "cruise")


def test_an_alternator_gives_no_more_than_it_can() -> None:
    """20 A, of which 15 A go to the loads."""
    weak = small(("rating: 40 A, set-point: 14.4 V,", "rating: 20 A, set-point: 14.4 V,"))
    found, strong = (
        weak.protection.recharge_inrush_of("reserve"),
        small().protection.recharge_inrush_of("reserve"),
    )
    assert found is not None and strong is not None
    assert 4 < found.amps < 7 < strong.amps


def test_no_alternator_no_inrush() -> None:
    facts = small(("cruise: {use: flight, engine: running,", "cruise: {use: flight, engine: stopped,"))
    assert facts.protection.recharge_inrush_of("reserve") is None
