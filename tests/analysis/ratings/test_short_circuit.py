"""Properties of withstand and let-through, and a case worked by hand. Printed values stand in tests/published."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.ratings.short_circuit import adiabatic_k, let_through, withstand
from reviewer.model.quantities import Gauge, read_gauge


def gauge(awg: str) -> Gauge:
    return read_gauge(f"{awg} AWG")


@given(
    st.sampled_from(("blade", "large_blade", "cartridge")),
    st.floats(1, 80),
    st.floats(2, 100),
    st.floats(2, 100),
)
def test_a_fuse_lets_no_more_through_at_a_larger_fault_and_more_at_a_larger_rating(
    kind: str, rating: float, a: float, b: float
) -> None:
    a, b = sorted((a, b))
    assert let_through(kind, rating, rating * a).i2t_a2s >= let_through(kind, rating, rating * b).i2t_a2s
    assert (
        let_through(kind, rating, rating * a).i2t_a2s
        < let_through(kind, rating * 1.5, rating * 1.5 * a).i2t_a2s
    )


def test_the_wire_bears_what_the_blade_fuse_of_its_size_lets_through() -> None:
    """Worked by hand: 5 A blade fuse, 2 x 5 A for 5 s, 500 A2s; 22 AWG has 755 circular mil, 0.3826 mm2; k from 70 to 150 C is 109.2."""
    assert let_through("blade", 5, 200).i2t_a2s == 500
    assert withstand(gauge("22"), 70, 150).i2t_a2s == pytest.approx((109.2 * 0.3826) ** 2, rel=0.002)


@given(st.floats(-40, 140), st.floats(-40, 300), st.floats(1, 1000), st.floats(0.5, 50))
def test_a_wire_bears_twice_the_current_for_a_quarter_of_the_time(
    start: float, end: float, amperes: float, area: float
) -> None:
    if end <= start + 1:
        with pytest.raises(ValueError, match="cannot warm"):
            adiabatic_k(start, min(start, end))
        return
    bears = withstand(Gauge(None, area), start, end)
    assert bears.seconds(2 * amperes) == pytest.approx(bears.seconds(amperes) / 4)
    assert bears.seconds(0) == math.inf
