"""When a battery counts as flat, by chemistry."""

from __future__ import annotations

import pytest

from reviewer.analysis.ratings.flat_battery import flat_state_of_charge, flat_voltage
from reviewer.model.parts import Battery


def battery(chemistry: str, **others: float) -> Battery:
    return Battery.model_construct(kind="battery", chemistry=chemistry, capacity=7.0, **others)


def test_lead_acid_is_flat_at_one_voltage() -> None:
    """11.8 V, half way from 11.6 V (0 %) to 12.0 V (25 %)."""
    flat = battery("lead-acid")
    assert (flat_voltage(flat, "14 V"), flat_voltage(flat, "28 V")) == (11.8, 23.6)
    assert flat_state_of_charge(flat, "14 V") == flat_state_of_charge(flat, "28 V") == pytest.approx(0.125)


def test_lithium_is_flat_with_nothing_in_it() -> None:
    flat = battery("lithium-iron-phosphate")
    assert flat_state_of_charge(flat, "14 V") == 0
    assert flat_voltage(flat, "14 V") == pytest.approx(10.0)  # the chart: 0 % at 10.0 V


def test_lithium_is_flat_where_its_management_disconnects_it() -> None:
    """The chart: 10.0 V at 0 %, 12.0 V at 10 %."""
    flat = battery("lithium-iron-phosphate", low_voltage_disconnect=11.2)
    assert flat_voltage(flat, "14 V") == 11.2
    assert flat_state_of_charge(flat, "14 V") == pytest.approx(0.06)
