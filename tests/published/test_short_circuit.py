"""Short circuits and melting wires against printed values.

IEC 60949: S = sqrt(I^2 t) / k with K = 226, beta = 234.5 for copper. k as printed in IEC 60364-5-54 (tables of k for protective conductors, read in a national
rendering). Preece: 10244 d^1.5, tables of public pages. Onderdonk and ICEA: as read in public texts.
"""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.ratings.fusing import icea_k, onderdonk_current, preece_current, preece_diameter
from reviewer.analysis.ratings.short_circuit import adiabatic_k, let_through, needed_area_mm2, withstand
from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.faults import final_temperature
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.wire_tables import CMIL_MM2


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
    assert needed_area_mm2(1000, 1, start, end) == pytest.approx(1000 / k, rel=0.005)


@pytest.mark.parametrize(("insulation", "celsius"), [("pvc", 160), ("butyl-rubber", 220), ("xlpe-or-epr", 250)])
def test_final_temperatures_are_the_printed_ones(insulation: str, celsius: float) -> None:
    assert final_temperature(insulation).value == celsius


def test_no_final_temperature_is_printed_for_aircraft_insulation() -> None:
    with pytest.raises(OutsideTable):
        final_temperature("etfe")


# Preece, copper: diameter and current of a worked answer; currents and diameters of a table
def test_preece_current() -> None:
    assert preece_current(0.0524) == pytest.approx(123, abs=0.5)


@pytest.mark.parametrize(("amperes", "inches"), [(10, 0.0098), (20, 0.0156), (50, 0.0288), (100, 0.0457), (200, 0.0725)])
def test_preece_diameter(amperes: float, inches: float) -> None:
    assert preece_diameter(amperes) == pytest.approx(inches, abs=0.00006)


def test_onderdonk_adds_the_ambient_where_a_printed_example_subtracts_it() -> None:
    """A public example for 2581 circular mil, 5 s and 25 C prints 178 A; with 234 - 25 in place of 234 + 25 the equation gives that number."""
    slipped = 2581 * math.sqrt(math.log10(1 + (1083 - 25) / (234 - 25)) / (33 * 5))
    assert slipped == pytest.approx(178, abs=0.5)
    assert onderdonk_current(2581, 5, 25) < 0.96 * slipped


def test_three_sources_agree_on_copper() -> None:
    """Onderdonk to melting, ICEA and IEC 60949 are the same physics with constants of their own: within 2 %."""
    k = onderdonk_current(1, 1, 30) / CMIL_MM2
    assert k == pytest.approx(adiabatic_k(30, 1083), rel=0.02)
    assert icea_k(30, 1083) == pytest.approx(k, rel=0.02)
    assert icea_k(75, 150) == pytest.approx(adiabatic_k(75, 150), rel=0.02)


def test_a_wire_bears_what_its_area_and_k_say() -> None:
    found = withstand(Gauge(None, 2.5), 70, 160)
    assert found.i2t_a2s == pytest.approx((115 * 2.5) ** 2, rel=0.005)
    assert found.seconds(115 * 2.5) == pytest.approx(1, rel=0.005)
    assert withstand(read_gauge("20 AWG"), 70, 160).area_mm2 == pytest.approx(0.616, abs=0.0005)  # 1216 circular mil, not ASTM B258's 0.518


# ISO 8820-3: a medium blade fuse opens within 50 s at 1.6 and 5 s at 2 times its rating; a large one within 50, 7 and 1 s at 2, 3.5 and 6 times.
# UL 248-14: 120 s at 2 times
@pytest.mark.parametrize(
    ("construction", "multiple", "seconds"),
    [("blade", 1.6, 50), ("blade", 1.99, 50), ("blade", 2, 5), ("blade", 50, 5), ("large_blade", 2, 50), ("large_blade", 3.5, 7), ("large_blade", 6, 1),
     ("cartridge", 2, 120)],
)  # fmt: skip
def test_a_fuse_opens_within_its_printed_time(construction: str, multiple: float, seconds: float) -> None:
    assert let_through(construction, 10, 10 * multiple).seconds == seconds


@pytest.mark.parametrize(("construction", "multiple"), [(None, 10), ("breaker", 10), ("limiter", 10), ("blade", 1.5), ("cartridge", 1.2)])
def test_without_a_figure_that_can_be_named_nothing_is_said(construction: str | None, multiple: float) -> None:
    with pytest.raises(OutsideTable):
        let_through(construction, 10, 10 * multiple)
