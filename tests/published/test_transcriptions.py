"""Every table with a source says what was printed, row by row; see transcriptions.py for the sources."""

from __future__ import annotations

import pytest

from reviewer.tables.bibliography import source_title
from reviewer.tables.lookup import OutsideTable, all_tables, table
from tests.published.transcriptions import PRINTED

TABLES = {t.origin.key: t for t in all_tables()}


@pytest.mark.parametrize("key", PRINTED)
def test_a_table_holds_the_printed_rows_and_no_other(key: str) -> None:
    assert dict(TABLES[key].rows) == PRINTED[key]


def test_every_table_with_a_source_is_transcribed_twice_and_none_without() -> None:
    assert {k for k, t in TABLES.items() if t.origin.status in ("verified", "secondary")} == set(PRINTED)


@pytest.mark.parametrize("key", TABLES)
def test_a_table_says_where_it_comes_from(key: str) -> None:
    origin = TABLES[key].origin
    assert all(
        (origin.title, origin.source, origin.clause, origin.edition, origin.unit, origin.range, origin.basis)
    )
    assert origin.status in ("verified", "secondary", "memory", "practice") and source_title(origin.source)
    if origin.source == "practice":
        assert origin.status in ("practice", "memory")  # nothing published says it
    else:
        assert origin.status != "practice"
    assert all(len(row) == len(TABLES[key].columns) for row in TABLES[key].rows.values())


def test_what_is_from_memory_says_so_where_it_is_named() -> None:
    memory = {k for k, t in TABLES.items() if t.origin.status == "memory"}
    assert {"voltage_drop/intermittent", "typical_values/ohms_from_memory"} <= memory
    for key in TABLES:
        assert str(TABLES[key].origin).endswith("(from memory)") == (key in memory)


def test_a_row_or_column_that_is_not_printed_is_refused_with_the_range() -> None:
    for row, column in (("18", "260 C"), ("26", "105 C"), ("", "105 C")):
        with pytest.raises(OutsideTable, match=r"Table 11-9 prints no value .* 24 AWG to 0000 AWG"):
            table("copper_wire", "aircraft").at(row, column)
