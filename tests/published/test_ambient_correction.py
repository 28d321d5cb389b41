"""Correction of a current for ambient temperature, NFPA 70 310.15(B), against the factors printed in Table E3705.2 of a building code that adopts it.

The printed factors belong to bands of 5 C (31 to 35 C and so on) above the table's base of 30 C; the equation gives each at the top of its band.
"""

from __future__ import annotations

import pytest

from reviewer.tables.lookup import OutsideTable
from reviewer.tables.wire_tables import ambient_factor

#: temperature class -> factors for 35, 40, 45, ... C
PRINTED = {
    60: (0.91, 0.82, 0.71, 0.58, 0.41),
    75: (0.94, 0.88, 0.82, 0.75, 0.67, 0.58, 0.47, 0.33),
    90: (0.96, 0.91, 0.87, 0.82, 0.76, 0.71, 0.65, 0.58, 0.50, 0.41, 0.29),
}


@pytest.mark.parametrize(
    ("class_c", "ambient_c", "factor"),
    [(c, 35 + 5 * i, f) for c, row in PRINTED.items() for i, f in enumerate(row)],
)
def test_the_root_law_gives_the_printed_factors(class_c: float, ambient_c: float, factor: float) -> None:
    assert ambient_factor(class_c, ambient_c, 30).value == pytest.approx(factor, abs=0.0051)


@pytest.mark.parametrize(("class_c", "ambient_c"), [(105, 105), (150, 160)])
def test_air_as_hot_as_the_insulation_may_be_leaves_no_current(class_c: float, ambient_c: float) -> None:
    with pytest.raises(OutsideTable):
        ambient_factor(class_c, ambient_c, 70)
