"""Solid wire by AWG: diameters and areas as printed in Lessons In Electric Circuits Vol I, chapter 12, against ASTM B258, d = 0.005 in x 92^((36-n)/39)."""

from __future__ import annotations

import math

import pytest

from reviewer.model.quantities import awg_area_mm2
from reviewer.tables.wire_tables import CMIL_MM2, awg_number

#: size -> inches, circular mils
PRINTED = {
    "0000": (0.46, 211600), "000": (0.4096, 167800), "00": (0.3648, 133100), "0": (0.3249, 105500), "1": (0.2893, 83690), "2": (0.2576, 66370),
    "4": (0.2043, 41740), "6": (0.162, 26250), "8": (0.1285, 16510), "10": (0.1019, 10380), "12": (0.08081, 6530), "14": (0.06408, 4107),
    "16": (0.05082, 2583), "18": (0.0403, 1624), "20": (0.03196, 1022), "22": (0.02535, 642.5), "24": (0.0201, 404.0), "26": (0.01594, 254.1),
}  # fmt: skip


@pytest.mark.parametrize("awg", PRINTED)
def test_diameter_and_area_are_the_printed_ones(awg: str) -> None:
    inches, cmil = PRINTED[awg]
    area = awg_area_mm2(awg)
    assert math.sqrt(area * 4 / math.pi) / 25.4 == pytest.approx(inches, rel=5e-4)
    assert area / CMIL_MM2 == pytest.approx(cmil, rel=5e-4)


def test_each_size_is_the_39th_root_of_92_wider_than_the_next() -> None:
    """The 39th root of 92 is 1.1229322, as printed beside the formula."""
    assert math.sqrt(awg_area_mm2("19") / awg_area_mm2("20")) == pytest.approx(1.1229322, abs=5e-8)


def test_sizes_are_ordered_by_number() -> None:
    assert [awg_number(s) for s in ("0000", "000", "00", "0", "1", "24")] == [-3, -2, -1, 0, 1, 24]
