"""The voltage of a battery at rest, by the chart of its chemistry and by what the file declares."""

from __future__ import annotations

import pytest

from reviewer.analysis.ratings.flat_battery import flat_state_of_charge
from reviewer.analysis.ratings.rest_voltage import charge_at_rest, rest_voltage
from reviewer.model.parts import Battery
from reviewer.tables.batteries import open_circuit_voltage


@pytest.mark.parametrize("nominal", ["14 V", "28 V"])
@pytest.mark.parametrize("chemistry", ["lead-acid", "lithium-iron-phosphate"])
def test_a_battery_that_declares_nothing_has_the_chart(chemistry: str, nominal: str) -> None:
    battery = Battery(kind="battery", chemistry=chemistry)
    for charge in (0.1, 0.45, 0.9):
        volts = rest_voltage(battery, charge, nominal)
        assert volts == open_circuit_voltage(chemistry, charge, nominal).value
        assert charge_at_rest(battery, volts, nominal) == pytest.approx(charge)


def test_a_declared_voltage_is_that_of_the_full_battery() -> None:
    battery = Battery.model_validate(
        {"kind": "battery", "chemistry": "lead-acid", "open-circuit-voltage": "12.9 V"}
    )
    plain = Battery(kind="battery", chemistry="lead-acid")
    assert rest_voltage(battery, 1.0, "14 V") == pytest.approx(12.9)
    for charge in (0.2, 0.5, 0.8):
        volts = rest_voltage(battery, charge, "14 V")
        assert volts - rest_voltage(plain, charge, "14 V") == pytest.approx(
            12.9 - rest_voltage(plain, 1.0, "14 V")
        )
        assert charge_at_rest(battery, volts, "14 V") == pytest.approx(charge)
    # flat at one voltage, by practice: less is left in the battery that stands higher
    assert flat_state_of_charge(battery, "14 V") < flat_state_of_charge(plain, "14 V")
