"""Properties of the tables of wires. Printed values stand in tests/published."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.wire_tables import bundle_factor, resistance_per_metre


def gauge(awg: str) -> Gauge:
    return read_gauge(f"{awg} AWG")


@given(st.floats(0.5, 120), st.floats(0.5, 120))
def test_a_larger_metric_size_has_no_more_resistance(a: float, b: float) -> None:
    thin, thick = (Gauge(None, x) for x in sorted((a, b)))
    assert resistance_per_metre(thin).value >= resistance_per_metre(thick).value


def test_a_metric_size_just_above_an_awg_size_has_about_its_resistance() -> None:
    """Two tables of two trades: 0.823 mm2 of ASTM B258 is 18 AWG; by the table it is read as 0.75 mm2."""
    assert resistance_per_metre(Gauge(None, 1.0)).value == pytest.approx(
        resistance_per_metre(gauge("18")).value, rel=0.05
    )


def test_factors_are_read_at_the_printed_point_above() -> None:
    assert bundle_factor(5, 0.2) == bundle_factor(5, 0.01)
    assert bundle_factor(5, 0.41).value == bundle_factor(5, 0.6).value
    with pytest.raises(OutsideTable):
        bundle_factor(20, 0.2)
