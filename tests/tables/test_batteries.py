"""Open-circuit voltage and state of charge. Printed values stand in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.tables.batteries import open_circuit_voltage, state_of_charge_at
from reviewer.tables.lookup import OutsideTable


@given(st.sampled_from(("lead-acid", "lithium-iron-phosphate")), st.floats(0, 0.99), st.floats(0, 0.99))
def test_the_voltage_rises_with_charge_and_is_read_back(chemistry: str, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert open_circuit_voltage(chemistry, low).value <= open_circuit_voltage(chemistry, high).value
    assert state_of_charge_at(chemistry, open_circuit_voltage(chemistry, a).value).value == pytest.approx(
        a, abs=1e-9
    )


def test_voltages_are_for_14_and_28_volt_systems() -> None:
    for nominal in ("24 V", "12 V", "115 V"):
        with pytest.raises(OutsideTable):
            open_circuit_voltage("lead-acid", 0.5, nominal)
    assert (
        open_circuit_voltage("lithium-iron-phosphate", 1.0).value
        == open_circuit_voltage("lithium-iron-phosphate", 0.99).value
    )


def test_beyond_the_printed_voltages_a_battery_is_empty_or_full() -> None:
    assert [state_of_charge_at("lead-acid", volts).value for volts in (10.5, 11.6, 12.61)] == [0.0, 0.0, 1.0]
