"""AC 43.13-1B (9/8/98), Table 11-3, page 11-15: the printed protector for each wire size.

The numbers were read at landseaskyspace.com/ac4313, a transcription. Not asserted: values for 1 and 0 AWG in the breaker column, where the alignment of the transcription
is from memory. Table 11-9 rests on another basis (33 or more wires, 70 C, 60 000 ft) and its amperes are no limit here: that the two differ is checked.
"""

from __future__ import annotations

import math

import pytest

from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.lookup import OutsideTable, ProtectorRow, deciding_row, protector_limit

TABLE_11_3 = {
    "22": (5, 5), "20": (7.5, 5), "18": (10, 10), "16": (15, 10), "14": (20, 15), "12": (30, 20), "10": (40, 30),
    "8": (50, 50), "6": (80, 70), "4": (100, 70), "2": (125, 100),
}  # fmt: skip
#: AC 43.13-1B CHG 1 (9/27/01), Table 11-9, page 11-23: amperes in the 105 C column
TABLE_11_9_105C = {
    "22": 3,
    "20": 4,
    "18": 6,
    "16": 7,
    "14": 10,
    "12": 13,
    "10": 17,
    "8": 38,
    "6": 50,
    "4": 68,
    "2": 95,
}


@pytest.mark.parametrize("awg", TABLE_11_3)
def test_the_printed_protector_is_given(awg: str) -> None:
    gauge = read_gauge(f"{awg} AWG")
    assert (protector_limit(gauge, "breaker"), protector_limit(gauge, "fuse")) == TABLE_11_3[awg]


def test_the_fuse_column_reaches_to_0_awg() -> None:
    assert protector_limit(read_gauge("0 AWG"), "fuse") == 150


def test_the_two_published_bases_differ_at_every_size_and_the_first_is_used() -> None:
    for awg, amperes in TABLE_11_9_105C.items():
        assert protector_limit(read_gauge(f"{awg} AWG"), "breaker") > amperes


@pytest.mark.parametrize(
    ("size", "column"),
    [
        ("24 AWG", "breaker"),
        ("24 AWG", "fuse"),
        ("0 AWG", "breaker"),
        ("00 AWG", "fuse"),
        ("0.2 mm2", "fuse"),
    ],
)
def test_a_size_that_is_not_printed_is_refused(size: str, column: str) -> None:
    with pytest.raises(OutsideTable):
        protector_limit(read_gauge(size), column)


def test_a_metric_size_counts_as_the_largest_printed_size_that_is_no_larger() -> None:
    assert protector_limit(Gauge(None, 1.0), "breaker") == 10  # 18 AWG is 0.823 mm2, 16 AWG 1.309 mm2
    assert protector_limit(Gauge(None, 1.5), "breaker") == 15


def test_awg_areas_are_those_of_the_formula() -> None:
    """ASTM B258-02: d = 0.005 in x 92^((36-n)/39); diameters as printed in Lessons In Electric Circuits Vol I, chapter 12."""
    for awg, inches in (
        ("0000", 0.46),
        ("0", 0.3249),
        ("10", 0.1019),
        ("18", 0.0403),
        ("22", 0.02535),
        ("26", 0.01594),
    ):
        area = read_gauge(f"{awg} AWG").area_mm2
        assert math.sqrt(area * 4 / math.pi) / 25.4 == pytest.approx(inches, rel=1e-3)


@pytest.mark.parametrize(
    ("size", "column", "rating", "row"),
    [
        ("24 AWG", "breaker", 5.1, ProtectorRow("22 AWG", 5)),  # even 22 AWG has 5 A at most
        ("0.2 mm2", "fuse", 7.5, ProtectorRow("22 AWG", 5)),
        ("21 AWG", "breaker", 10, ProtectorRow("20 AWG", 7.5)),
        ("21 AWG", "breaker", 5, ProtectorRow("22 AWG", 5)),  # 22 AWG, which is thinner, may have 5 A
        ("00 AWG", "breaker", 125, ProtectorRow("2 AWG", 125)),
        ("20 AWG", "breaker", 100, ProtectorRow("20 AWG", 7.5)),
    ],
)
def test_a_neighbour_decides_for_a_size_that_is_not_printed(
    size: str, column: str, rating: float, row: ProtectorRow
) -> None:
    assert deciding_row(read_gauge(size), column, rating) == row


@pytest.mark.parametrize(
    ("size", "rating"), [("24 AWG", 5.0), ("26 AWG", 1.0), ("21 AWG", 6.0), ("00 AWG", 150.0)]
)
def test_where_no_neighbour_decides_the_table_says_nothing(size: str, rating: float) -> None:
    with pytest.raises(OutsideTable):
        deciding_row(read_gauge(size), "breaker", rating)
