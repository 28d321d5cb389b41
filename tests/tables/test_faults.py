"""Opening times of fuses between the printed multiples."""

from __future__ import annotations

import pytest

from reviewer.tables.faults import copper_constants, longest_opening
from reviewer.tables.lookup import OutsideTable


def test_the_largest_printed_multiple_that_the_fault_reaches_is_read() -> None:
    assert [longest_opening("large_blade", m)[1] for m in (1.35, 1.9, 2.0, 3.4, 100)] == [
        1.35,
        1.35,
        2.0,
        2.0,
        6.0,
    ]


def test_below_the_smallest_multiple_and_for_a_breaker_there_is_no_time() -> None:
    for construction, multiple in (("blade", 1.59), ("breaker", 5.0), (None, 5.0)):
        with pytest.raises(OutsideTable):
            longest_opening(construction, multiple)


def test_the_constants_of_copper_are_of_one_source() -> None:
    assert {figure.origin.source for figure in copper_constants()} == {"iec-60949"}
