"""Properties of the resistance of a wire. Printed values stand in tests/published."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.ratings.short_circuit import withstand
from reviewer.analysis.ratings.wire import wire_resistance
from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.lookup import table
from reviewer.tables.wire_tables import printed_amperes, temperature_factor

SIZES = tuple(table("copper_wire", "aircraft").rows)  # 24 AWG first, 0000 AWG last
gauges = st.sampled_from(SIZES).map(lambda s: read_gauge(f"{s} AWG"))
lengths = st.floats(0.01, 50)
temperatures = st.floats(-55, 260)


def gauge(awg: str) -> Gauge:
    return read_gauge(f"{awg} AWG")


@given(gauges, lengths, lengths, temperatures, temperatures)
def test_resistance_rises_with_length_and_temperature(
    size: Gauge, a: float, b: float, cool: float, hot: float
) -> None:
    a, b = sorted((a, b))
    cool, hot = sorted((cool, hot))
    assert wire_resistance(size, a, cool).ohms <= wire_resistance(size, b, hot).ohms
    assert wire_resistance(size, a + b, cool).ohms == pytest.approx(
        wire_resistance(size, a, cool).ohms + wire_resistance(size, b, cool).ohms
    )
    assert temperature_factor(cool) <= temperature_factor(hot)


def test_a_larger_size_has_less_resistance_carries_more_and_bears_more() -> None:
    for thin, thick in pairwise(SIZES):
        assert wire_resistance(gauge(thin), 1).ohms > wire_resistance(gauge(thick), 1).ohms
        assert withstand(gauge(thin), 70, 150).i2t_a2s < withstand(gauge(thick), 70, 150).i2t_a2s
        for class_c in (105, 150, 200):
            assert (
                printed_amperes(gauge(thin), class_c)[0].value
                < printed_amperes(gauge(thick), class_c)[0].value
            )


def test_temperatures_outside_the_copper_formula_are_refused() -> None:
    with pytest.raises(ValueError, match="outside the range"):
        wire_resistance(gauge("18"), 1, -234.5)
