"""Parts of a design as devices of a circuit."""

from __future__ import annotations

import pytest

from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.devices import THERMAL_VOLT, amps_of, battery_figures, idle_amps
from tests.analysis.operating_point.bench import bench


def test_the_thermal_voltage_is_the_customary_one() -> None:
    """k T / q of 25.85 mV at 300 K, printed in every textbook of electronics (from memory)."""
    at_300 = THERMAL_VOLT * 300 / 300.15
    assert at_300 == pytest.approx(0.02585, abs=5e-6)


def test_loads_follow_the_voltage_by_their_type() -> None:
    """14 V and 12 V, as with and without the alternator: a heater as a resistance, electronics holding the power, a motor the current."""
    laws = {
        "heater": lambda v: 4 * v / 14,
        "electronic": lambda v: 56 / v,
        "motor": lambda v: 4.0,
        "lamp": lambda v: 4 * (0.45 + 0.55 * v / 14),
    }
    for kind, law in laws.items():
        old = "type: electronic, current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse"
        facts = bench((old, f"type: {kind}, current: 4 A, minimum: 8 V, peak: 20 A}}\n  right-fuse"))
        for state in ("cruise", "stopped"):
            point = facts.points.operating_point(state)
            volts = point.across["parts/left-ignition"]
            assert point.taken["parts/left-ignition"] == pytest.approx(law(volts), rel=1e-5), (kind, state)


def test_a_battery_without_a_resistance_has_a_typical_one_and_says_so() -> None:
    assumptions = Assumptions()
    figures = battery_figures(bench().design, "parts/main-battery", 1.0, 2.0, assumptions)
    assert (figures["open_circuit"], figures["ohms"]) == (12.6, pytest.approx(2 * 0.0075))
    assert figures["charge_ohms"] > figures["ohms"]
    assert {quantity for quantity, *_ in assumptions.used} == {
        AssumedQuantity.RESISTANCE,
        AssumedQuantity.CHARGE_ACCEPTANCE,
    }


def test_a_load_takes_the_current_of_the_first_phase_that_it_names_else_its_largest() -> None:
    load = bench(
        (
            "current: 1.5 A, minimum: 8 V, maximum: 16.5 V}\n  right-fuse",
            "current: {taxi: 1 A, cruise: 2 A}, minimum: 8 V}\n  right-fuse",
        )
    )
    part, assumptions = load.design.parts["left-ignition"], Assumptions()
    assert (
        amps_of(part, "parts/left-ignition", ("cruise",), assumptions)
        == amps_of(part, "parts/left-ignition", (), assumptions)
        == 2
    )
    assert amps_of(part, "parts/left-ignition", ("climb",), assumptions) == 0
    assert assumptions.undrawn == {"parts/left-ignition": "`current` in climb"}


def test_an_alternator_gives_half_of_its_rating_at_idle_unless_the_file_says_otherwise() -> None:
    told = bench(("rating: 60 A, set-point", "rating: 60 A, idle-output: 20 A, set-point"))
    assert [idle_amps(facts.design.parts["alternator"]) for facts in (bench(), told)] == [30, 20]
