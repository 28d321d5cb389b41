"""Typical values are no published figures: where the trade has a range (common practice, no source) each lies in it, and each says what it rests on."""

from __future__ import annotations

import pytest

from reviewer.tables.lookup import OutsideTable, all_tables
from reviewer.tables.practice import practice
from reviewer.tables.typical import acceptance_knots, battery_ohms, charge_acceptance, typical

RANGES = [
    ("volts", "set-point", 1.0, "volts", "charging"),
    ("volts", "set-point-28", 1.0, "volts", "charging-28"),
    ("volts", "silicon", 1.0, "volts", "silicon-diode"),
    ("volts", "schottky", 1.0, "volts", "schottky-diode"),
    ("volts", "ideal", 1.0, "volts", "ideal-diode"),
    ("volts", "shunt-at-rating", 1.0, "volts", "shunt-at-rating"),
    ("volts", "breaker-at-rating", 1 / 5, "ohms", "breaker-5-a"),
    ("volts", "breaker-at-rating", 1 / 20, "ohms", "breaker-20-a"),
    ("ohms", "contactor-contact", 1.0, "ohms", "contactor-contact"),
    ("ohms", "switch-contact", 1.0, "ohms", "toggle-switch-contact"),
    ("ohms", "ring-terminal", 1.0, "ohms", "ring-terminal"),
    ("amperes", "contactor-coil", 1.0, "amperes", "battery-contactor-coil"),
    ("amperes", "intermittent-contactor-coil", 1.0, "amperes", "starter-contactor-coil"),
    ("amperes", "alternator-field", 1.0, "amperes", "alternator-field"),
    ("shares", "idle-output-of-rating", 1.0, "factors", "alternator-at-idle"),
]


@pytest.mark.parametrize(("kind", "name", "factor", "range_kind", "range_name"), RANGES)
def test_a_typical_value_lies_in_the_range_of_the_trade(kind: str, name: str, factor: float, range_kind: str, range_name: str) -> None:
    known = practice(range_kind, range_name)
    assert known.low * (1 - 1e-9) <= typical(kind, name).value * factor <= known.high * (1 + 1e-9)


@pytest.mark.parametrize(("rating", "name"), [(5, "blade-fuse-5-a"), (10, "blade-fuse-10-a"), (30, "blade-fuse-30-a")])
def test_a_fuse_has_about_the_resistance_of_the_trade(rating: float, name: str) -> None:
    assert typical("volts", "fuse-at-rating").value / rating == pytest.approx(practice("ohms", name).low, rel=0.2)


@pytest.mark.parametrize(
    ("chemistry", "ampere_hours", "name"),
    [
        ("lead-acid", 17, "battery-16-to-18-ah-agm"),
        ("lead-acid", 8, "battery-7-to-9-ah-agm"),
        ("lead-acid", 3, "battery-3-ah-agm"),
        ("lithium-iron-phosphate", 17.5, "battery-15-to-20-ah-lithium"),
    ],
)
def test_a_battery_has_the_resistance_of_its_size(chemistry: str, ampere_hours: float, name: str) -> None:
    known = practice("ohms", name)
    assert known.low <= battery_ohms(chemistry, ampere_hours).value <= known.high


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
        assert table.origin.status in ("practice", "memory") and "no source" in table.origin.note, table.origin.key


def test_a_name_that_is_not_there_is_refused() -> None:
    with pytest.raises(OutsideTable):
        typical("ohms", "magic")
