"""Ranges of the trade: a low and a high end, and no source."""

from __future__ import annotations

import pytest

from reviewer.tables.lookup import OutsideTable, all_tables
from reviewer.tables.practice import practice


def test_ranges_of_the_trade_are_marked_and_in_order() -> None:
    found = practice("volts", "lead-acid-absorption")
    assert (found.low, found.high, found.origin.status, found.origin.source) == (
        14.2,
        14.7,
        "practice",
        "practice",
    )
    with pytest.raises(OutsideTable, match="common practice"):
        practice("volts", "no-such-thing")


def test_no_range_is_upside_down() -> None:
    ranges = [t for t in all_tables() if t.origin.key.startswith("common_practice/")]
    assert ranges and all(low <= high for t in ranges for low, high in t.rows.values())
