"""Typical values are no published figures: where the trade has a range (common practice, no source) each lies in it, and each says what it rests on."""

from __future__ import annotations

import pytest

from reviewer.tables.lookup import OutsideTable, all_tables
from reviewer.tables.typical import acceptance_knots, battery_ohms, charge_acceptance, typical

#: kind, name, factor, and the range of the trade that the value times the factor lies in (common practice, no source)
RANGES = [
    ("volts", "set-point", 1.0, 14.2, 14.5),
    ("volts", "set-point-28", 1.0, 28.0, 28.8),
    ("volts", "silicon", 1.0, 0.6, 0.8),
    ("volts", "schottky", 1.0, 0.3, 0.55),
    ("volts", "ideal", 1.0, 0.02, 0.1),
    ("volts", "shunt-at-rating", 1.0, 0.05, 0.05),
    ("volts", "breaker-at-rating", 1 / 5, 0.020, 0.040),
    ("volts", "breaker-at-rating", 1 / 20, 0.004, 0.008),
    ("ohms", "contactor-contact", 1.0, 0.0002, 0.0005),
    ("ohms", "switch-contact", 1.0, 0.005, 0.015),
    ("ohms", "ring-terminal", 1.0, 0.0001, 0.0003),
    ("ohms", "voltage-input", 1.0, 50e3, 1e6),
    ("amperes", "contactor-coil", 1.0, 0.7, 1.1),
    ("amperes", "intermittent-contactor-coil", 1.0, 3.0, 5.0),
    ("amperes", "alternator-field", 1.0, 2.0, 4.0),
    ("shares", "idle-output-of-rating", 1.0, 0.4, 0.6),
]


@pytest.mark.parametrize(("kind", "name", "factor", "low", "high"), RANGES)
def test_a_typical_value_lies_in_the_range_of_the_trade(
    kind: str, name: str, factor: float, low: float, high: float
) -> None:
    assert low * (1 - 1e-9) <= typical(kind, name).value * factor <= high * (1 + 1e-9)


# blade fuses, ohm by rating: common practice, no source
@pytest.mark.parametrize(("rating", "ohms"), [(5, 0.015), (10, 0.007), (30, 0.002)])
def test_a_fuse_has_about_the_resistance_of_the_trade(rating: float, ohms: float) -> None:
    assert typical("volts", "fuse-at-rating").value / rating == pytest.approx(ohms, rel=0.2)


@pytest.mark.parametrize("chemistry", ["lead-acid", "lithium-iron-phosphate"])
def test_a_full_battery_by_a_rounding_error_is_full(chemistry: str) -> None:
    assert charge_acceptance(chemistry, 1.0 + 2.3e-16).value == charge_acceptance(chemistry, 1.0).value
    with pytest.raises(OutsideTable):
        charge_acceptance(chemistry, 1.001)


# batteries of 16 to 18, 7 to 9 and 3 Ah, and lithium of 15 to 20 Ah: common practice, no source
@pytest.mark.parametrize(
    ("chemistry", "ampere_hours", "low", "high"),
    [
        ("lead-acid", 17, 0.006, 0.009),
        ("lead-acid", 8, 0.020, 0.030),
        ("lead-acid", 3, 0.040, 0.060),
        ("lithium-iron-phosphate", 17.5, 0.006, 0.012),
    ],
)
def test_a_battery_has_the_resistance_of_its_size(
    chemistry: str, ampere_hours: float, low: float, high: float
) -> None:
    assert low <= battery_ohms(chemistry, ampere_hours).value <= high


def test_larger_batteries_have_less_resistance() -> None:
    for chemistry in ("lead-acid", "lithium-iron-phosphate"):
        ohms = [battery_ohms(chemistry, size).value for size in (1, 2, 3, 5, 8, 12, 17, 25, 60)]
        assert ohms == sorted(ohms, reverse=True) and len(set(ohms)) == len(ohms)


def test_a_charge_outside_the_table_is_refused() -> None:
    for chemistry in ("lead-acid", "lithium-iron-phosphate"):
        assert acceptance_knots(chemistry)[0] == 0 and acceptance_knots(chemistry)[-1] == 1
        for charge in (-0.1, 1.1):
            with pytest.raises(OutsideTable):
                charge_acceptance(chemistry, charge)


def test_every_typical_value_says_that_it_has_no_source() -> None:
    tables = [t for t in all_tables() if t.origin.key.startswith("typical_values/")]
    assert len(tables) > 8
    for table in tables:
        assert table.origin.status in ("practice", "memory") and "no published source" in table.origin.note, (
            table.origin.key
        )


def test_a_name_that_is_not_there_is_refused() -> None:
    with pytest.raises(OutsideTable):
        typical("ohms", "magic")
