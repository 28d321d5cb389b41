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
