"""Units against their definitions: the international yard and pound agreement of 1959 (1 in = 25.4 mm), the Celsius and Fahrenheit scales; and the
whole table of units against the package pint."""

from __future__ import annotations

import pint
import pytest

from reviewer.model.quantities import UNITS, QuantityError, read_gauge, read_quantity
from reviewer.tables.wire_tables import CMIL_MM2

PINT: pint.UnitRegistry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
#: dimension -> its base unit in this project
BASE = {
    "current": "A", "voltage": "V", "power": "W", "capacity": "ampere_hour", "resistance": "ohm", "capacitance": "F", "length": "m", "time": "s", "temperature": "degC",
    "share": "dimensionless", "altitude": "m",
}  # fmt: skip
#: units that pint writes otherwise
PINT_NAME = {
    "Ah": "ampere_hour",
    "mAh": "milliampere_hour",
    "mohm": "milliohm",
    "kohm": "kiloohm",
    "C": "degC",
    "F": "degF",
    "%": "percent",
}


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("5 A", "current", 5), ("250 mA", "current", 0.25), ("14.2 V", "voltage", 14.2), ("50 mV", "voltage", 0.05), ("55 W", "power", 55),
        ("17 Ah", "capacity", 17), ("0.008 ohm", "resistance", 0.008), ("22 mF", "capacitance", 0.022), ("1 m", "length", 1), ("250 mm", "length", 0.25), ("1 in", "length", 0.0254),
        ("1 ft", "length", 0.3048), ("12 in", "length", 0.3048), ("90 s", "time", 90), ("1.5 min", "time", 90), ("2 h", "time", 7200),
        ("100 C", "temperature", 100), ("212 F", "temperature", 100), ("32 F", "temperature", 0), ("-40 F", "temperature", -40), (" 5A ", "current", 5),
    ],
)  # fmt: skip
def test_a_quantity_is_read_in_its_base_unit(text: str, dimension: str, value: float) -> None:
    assert read_quantity(text, dimension, "x") == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    "text", ["5", "A", "5 AA", "5 V", "5  A A", "five A", "", "5e9999 A", "nan A", "inf A", "٥ A", "5 Α"]
)
def test_what_is_no_current_is_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        read_quantity(text, "current", "5 A")


@pytest.mark.parametrize(
    ("text", "awg"), [("18 AWG", "18"), ("2/0 AWG", "00"), ("00 AWG", "00"), ("08 AWG", "8"), ("0 awg", "0")]
)
def test_gauges_are_read_as_they_are_written_in_the_trade(text: str, awg: str) -> None:
    assert read_gauge(text).awg == awg


@pytest.mark.parametrize(("dimension", "unit"), [(d, u) for d, units in UNITS.items() for u in units])
def test_every_unit_is_what_pint_says(dimension: str, unit: str) -> None:
    # F is farad there, and degrees Fahrenheit in a temperature
    name = unit if dimension == "capacitance" else PINT_NAME.get(unit, unit)
    for number in (0.0, 1.0, -40.0, 37.5):
        expected = PINT.Quantity(number, name).to(BASE[dimension]).magnitude
        assert read_quantity(f"{number} {unit}", dimension, "x") == pytest.approx(
            expected, rel=1e-12, abs=1e-12
        )


def test_a_circular_mil_is_what_pint_says() -> None:
    assert pytest.approx(PINT.Quantity(1, "circular_mil").to("mm**2").magnitude) == CMIL_MM2
