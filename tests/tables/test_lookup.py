"""Tables: rows, columns, origins."""

from __future__ import annotations

import pytest

from reviewer.tables.lookup import OutsideTable, all_tables, table


def test_a_table_without_columns_has_one_value_a_row() -> None:
    printed = table("opening_times", "cartridge")
    assert (
        printed.columns == ("value",)
        and printed.at("2.0").value == 120
        and printed.points() == ((1.35, 3600), (2.0, 120))
    )


def test_a_column_or_row_that_is_not_there_is_refused_by_name() -> None:
    with pytest.raises(OutsideTable, match="middle volts"):
        table("switch_factors", "low_energy").at("volts", "middle")
    with pytest.raises(KeyError):
        table("switch_factors", "no-such-section")


def test_a_section_overrules_the_head_of_its_file() -> None:
    assert (
        table("voltage_drop", "continuous").origin.source
        != table("voltage_drop", "structure_return").origin.source
    )
    assert len({t.origin.key for t in all_tables()}) == len(list(all_tables()))


def test_what_is_not_printed_is_said_with_its_units_and_what_is() -> None:
    said = {
        (
            "wire_derating",
            "bundle",
            "20",
            "20",
        ): "20 wires at 20 % of the bundle's capacity; it has 1 to 19 wires",
        ("switch_factors", "derating", "48", "motor"): "a motor load at 48 V; it has 28 V and 12 V",
        ("opening_times", "blade", "9", None): "9 times the rating; it has 1.6 times",
    }
    for (name, section, row, column), words in said.items():
        with pytest.raises(OutsideTable, match=words):
            table(name, section).at(row, column)
    # no name of a row or column that is a bare number is said without what it counts
    for one in all_tables():
        if all(row.replace(".", "").isdigit() for row in one.rows) or one.columns[0].isdigit():
            assert "{row}" in one.origin.asked, one.origin.key
