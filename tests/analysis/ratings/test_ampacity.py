"""Properties of what a wire may carry. Printed values stand in tests/published."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.ratings.ampacity import BASIS, Installation, wire_table_ampacity
from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.lookup import OutsideTable, table
from reviewer.tables.wire_tables import printed_amperes

SIZES = tuple(table("copper_wire", "aircraft").rows)  # 24 AWG first, 0000 AWG last
BASIS_11_9 = Installation(70, 33, 0.2, 60_000)
gauges = st.sampled_from(SIZES).map(lambda s: read_gauge(f"{s} AWG"))
classes = st.sampled_from((105.0, 150.0, 200.0))
surroundings = st.builds(
    Installation, st.floats(-40, 100), st.integers(1, 19), st.floats(0, 1), st.floats(0, 60_000)
)


def gauge(awg: str) -> Gauge:
    return read_gauge(f"{awg} AWG")


@given(gauges, classes)
def test_on_its_own_basis_table_11_9_is_as_printed(size: Gauge, class_c: float) -> None:
    around = Installation(70, 9, 0.2, 60_000) if size.awg in SIZES[SIZES.index("8") :] else BASIS_11_9
    found = wire_table_ampacity(size, class_c, around)
    assert (
        found.amperes
        == pytest.approx(printed_amperes(size, class_c)[0].value)
        == pytest.approx(found.start.value)
    )


@given(gauges, classes, surroundings, st.floats(0, 30), st.integers(0, 5), st.floats(0, 0.5))
def test_harsher_surroundings_carry_no_more(
    size: Gauge, class_c: float, around: Installation, warmer: float, wires: int, loaded: float
) -> None:
    harsh = Installation(
        min(around.ambient_c + warmer, 100),
        min(around.wires + wires, 19),
        min(around.loaded + loaded, 1),
        around.altitude_ft,
    )
    assert (
        wire_table_ampacity(size, class_c, harsh).amperes
        <= wire_table_ampacity(size, class_c, around).amperes + 1e-12
    )


def test_the_scaled_table_stays_below_the_worked_example() -> None:
    """AC 43.13-1B 11-67, example 2, printed: 14 AWG, 200 C class, 50 C, 8 wires at 60 %, 20 000 ft: 26 A from the free-air figure."""
    assert wire_table_ampacity(gauge("14"), 200, Installation(50, 8, 0.6, 20_000)).amperes < 26


@pytest.mark.parametrize(
    ("size", "around"),
    [
        ("18", Installation(70, 20, 0.4, 10_000)),  # the bundle figure is known to 19 wires
        ("8", Installation(70, 20, 0.2, 10_000)),
        ("18", Installation(150, 1, 0.2, 10_000)),  # air as hot as the insulation may be
        ("18", Installation(70, 5, 0.2, 60_001)),
        ("18", Installation(70, 5, 1.01, 10_000)),
        ("18", Installation(70, 0, 0.2, 10_000)),
    ],
)
def test_where_table_11_9_does_not_reach_there_is_no_answer(size: str, around: Installation) -> None:
    with pytest.raises(OutsideTable):
        wire_table_ampacity(gauge(size), 150, around)


def test_many_lightly_loaded_wires_are_the_basis_of_table_11_9() -> None:
    assert wire_table_ampacity(gauge("18"), 150, Installation(70, 60, 0.2, 10_000)).amperes == 9


@given(gauges, classes, surroundings)
def test_it_is_the_printed_value_times_its_factors(size: Gauge, class_c: float, around: Installation) -> None:
    found = wire_table_ampacity(size, class_c, around)
    assert found.amperes == pytest.approx(found.start.value * math.prod(value for _, value in found.factors))
    assert [name for name, _ in found.factors] == ["bundle", "ambient"]
    assert found.basis == BASIS and found.rests_on[0].title == "AC 43.13-1B Table 11-9"
