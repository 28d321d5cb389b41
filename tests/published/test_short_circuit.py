"""Short circuits against printed values.

IEC 60949: S = sqrt(I^2 t) / k with K = 226, beta = 234.5 for copper. k as printed in IEC 60364-5-54 (tables of k for protective conductors, as NEN 1010
and GOST R 50571.5.54-2011 adopt them).
"""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.ratings.short_circuit import adiabatic_k, let_through, withstand
from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.faults import final_temperature, largest_timed_rating
from reviewer.tables.lookup import OutsideTable, table


# IEC 60364-5-54, copper: start, end of the short circuit, k
@pytest.mark.parametrize(
    ("start", "end", "k"),
    [
        (70, 160, 115), (85, 220, 134), (90, 250, 143),  # core of a cable: PVC, butyl rubber, EPR or XLPE
        (30, 160, 143), (30, 220, 166), (30, 250, 176),  # conductor that is not loaded
        (30, 150, 138), (30, 200, 159), (30, 500, 228),  # bare conductor
    ],
)  # fmt: skip
def test_k_of_copper_is_the_printed_one(start: float, end: float, k: float) -> None:
    assert adiabatic_k(start, end) == pytest.approx(k, abs=0.5)
    assert withstand(Gauge(None, 1000 / k), start, end).seconds(1000) == pytest.approx(
        1, rel=0.01
    )  # S = sqrt(I^2 t) / k


@pytest.mark.parametrize(
    ("insulation", "celsius"), [("pvc", 160), ("butyl-rubber", 220), ("xlpe-or-epr", 250)]
)
def test_final_temperatures_are_the_printed_ones(insulation: str, celsius: float) -> None:
    assert final_temperature(insulation).value == celsius


def test_no_final_temperature_is_printed_for_aircraft_insulation() -> None:
    with pytest.raises(OutsideTable):
        final_temperature("etfe")


def test_a_wire_bears_what_its_area_and_k_say() -> None:
    found = withstand(Gauge(None, 2.5), 70, 160)
    assert found.i2t_a2s == pytest.approx((115 * 2.5) ** 2, rel=0.005)
    assert found.seconds(115 * 2.5) == pytest.approx(1, rel=0.005)
    assert withstand(read_gauge("20 AWG"), 70, 160).area_mm2 == pytest.approx(
        0.616, abs=0.0005
    )  # 1216 circular mil, not ASTM B258's 0.518


@pytest.mark.parametrize(("multiple", "seconds"), [(1.35, 3600), (1.99, 3600), (2, 120), (50, 120)])
def test_a_fuse_opens_within_its_printed_time(multiple: float, seconds: float) -> None:
    """UL 248-14, up to 30 A: within an hour at 1.35 times its rating, within two minutes at twice; above, in four."""
    assert largest_timed_rating("cartridge") == 30 and largest_timed_rating("blade") == math.inf
    assert let_through("cartridge", 10, 10 * multiple).seconds == seconds


@pytest.mark.parametrize(
    ("construction", "multiple", "row"),
    [("blade", 1.6, "1.6"), ("blade", 1.99, "1.6"), ("blade", 50, "2.0"), ("large_blade", 3.6, "3.5")],
)
def test_between_two_multiples_the_smaller_one_is_read(construction: str, multiple: float, row: str) -> None:
    assert let_through(construction, 10, 10 * multiple).figure == table("opening_times", construction).at(row)


@pytest.mark.parametrize(
    ("construction", "multiple"),
    [(None, 10), ("breaker", 10), ("limiter", 10), ("blade", 1.5), ("cartridge", 1.2)],
)
def test_without_a_figure_that_can_be_named_nothing_is_said(
    construction: str | None, multiple: float
) -> None:
    with pytest.raises(OutsideTable):
        let_through(construction, 10, 10 * multiple)
