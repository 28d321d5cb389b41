"""When a battery counts as flat, by chemistry, and for lithium by what is asked."""

from __future__ import annotations

import pytest

from reviewer.analysis.ratings.flat_battery import flat_state_of_charge, flat_voltage
from reviewer.model.parts import Battery


def battery(chemistry: str, **others: float) -> Battery:
    return Battery.model_construct(kind="battery", chemistry=chemistry, capacity=7.0, **others)


def test_lead_acid_is_flat_at_one_voltage_whatever_is_asked() -> None:
    """11.8 V, half way from 11.6 V (0 %) to 12.0 V (25 %)."""
    flat = battery("lead-acid")
    assert (flat_voltage(flat, "14 V"), flat_voltage(flat, "28 V")) == (11.8, 23.6)
    assert flat_state_of_charge(flat, "14 V") == flat_state_of_charge(flat, "28 V") == pytest.approx(0.125)


def test_lithium_is_recharged_from_nothing_and_connected_from_a_tenth() -> None:
    flat = battery("lithium-iron-phosphate")
    assert flat_state_of_charge(flat, "14 V") == 0
    assert flat_voltage(flat, "14 V") == pytest.approx(12.0)  # the chart: 10 % at 12.0 V


def test_the_inrush_begins_where_the_management_disconnects() -> None:
    assert flat_voltage(battery("lithium-iron-phosphate", low_voltage_disconnect=11.2), "14 V") == 11.2
