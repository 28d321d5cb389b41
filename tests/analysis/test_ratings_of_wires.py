"""Properties of the ratings of wires, drops and protectors, and cases worked by hand. Printed values stand in tests/published."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.ratings.ampacity import (
    Basis,
    Surroundings,
    derated,
    protected_ampacity,
    wire_table_ampacity,
)
from reviewer.analysis.ratings.contacts import ContactLoad, needed_rating
from reviewer.analysis.ratings.drop import Conductor, run_drop
from reviewer.analysis.ratings.opening_order import selectivity
from reviewer.analysis.ratings.short_circuit import adiabatic_k, let_through, needed_area_mm2, withstand
from reviewer.analysis.ratings.wire import conductor_temperature, longest_run, wire_resistance
from reviewer.model.quantities import Gauge, read_gauge
from reviewer.tables.lookup import OutsideTable, table
from reviewer.tables.wire_tables import altitude_factor, bundle_factor, printed_amperes, resistance_per_metre

SIZES = tuple(table("copper_wire", "aircraft").rows)  # 24 AWG first, 0000 AWG last
BASIS_11_9 = Surroundings(70, 33, 0.2, 60_000)
gauges = st.sampled_from(SIZES).map(lambda s: read_gauge(f"{s} AWG"))
lengths = st.floats(0.01, 50)
temperatures = st.floats(-55, 260)
classes = st.sampled_from((105.0, 150.0, 200.0))
surroundings = st.builds(Surroundings, st.floats(-40, 100), st.integers(1, 19), st.floats(0, 1), st.floats(0, 60_000))


def gauge(awg: str) -> Gauge:
    return read_gauge(f"{awg} AWG")


@given(gauges, lengths, lengths, temperatures, temperatures)
def test_resistance_rises_with_length_and_temperature(size: Gauge, a: float, b: float, cool: float, hot: float) -> None:
    a, b = sorted((a, b))
    cool, hot = sorted((cool, hot))
    assert wire_resistance(size, a, cool).ohms <= wire_resistance(size, b, hot).ohms
    assert wire_resistance(size, a + b, cool).ohms == pytest.approx(wire_resistance(size, a, cool).ohms + wire_resistance(size, b, cool).ohms)
    assert longest_run(a, hot) <= longest_run(a, cool)


def test_a_larger_size_has_less_resistance_carries_more_and_bears_more() -> None:
    for thin, thick in pairwise(SIZES):
        assert wire_resistance(gauge(thin), 1).ohms > wire_resistance(gauge(thick), 1).ohms
        assert withstand(gauge(thin), 70, 150).i2t_a2s < withstand(gauge(thick), 70, 150).i2t_a2s
        for class_c in (105, 150, 200):
            assert printed_amperes(gauge(thin), class_c)[0].value < printed_amperes(gauge(thick), class_c)[0].value


@given(st.floats(0.5, 120), st.floats(0.5, 120))
def test_a_larger_metric_size_has_no_more_resistance(a: float, b: float) -> None:
    thin, thick = (Gauge(None, x) for x in sorted((a, b)))
    assert resistance_per_metre(thin).value >= resistance_per_metre(thick).value


def test_a_metric_size_just_above_an_awg_size_has_about_its_resistance() -> None:
    """Two tables of two trades: 0.823 mm2 of ASTM B258 is 18 AWG; by the table it is read as 0.75 mm2."""
    assert resistance_per_metre(Gauge(None, 1.0)).value == pytest.approx(resistance_per_metre(gauge("18")).value, rel=0.05)


def test_temperatures_outside_the_copper_formula_are_refused() -> None:
    with pytest.raises(ValueError, match="outside the range"):
        wire_resistance(gauge("18"), 1, -234.5)


@given(st.floats(-40, 100), st.floats(0, 1))
def test_a_conductor_is_between_ambient_and_its_class(ambient: float, share: float) -> None:
    estimate = conductor_temperature(ambient, 150, share * 20, 20).celsius
    assert ambient - 1e-9 <= estimate <= 150 + 1e-9


def test_the_end_of_example_2_comes_out_as_it_is_remembered() -> None:
    """AC 43.13-1B 11-67 prints 182 C and 9.5 ft at the end of example 2 (from memory): 50 C, 200 C class, 20 A of 26 A, 15.5 ft."""
    found = conductor_temperature(50, 200, 20, 26)
    assert (round(found.celsius), found.origin.status) == (182, "memory")
    assert longest_run(15.5, found.celsius) == pytest.approx(9.5, abs=0.05)


@pytest.mark.parametrize(("amperes", "limit"), [(26.1, 26), (-1, 26), (0, 0)])
def test_the_temperature_estimate_holds_up_to_the_limit(amperes: float, limit: float) -> None:
    with pytest.raises(ValueError, match="outside"):
        conductor_temperature(50, 200, amperes, limit)


@given(gauges, classes)
def test_on_its_own_basis_table_11_9_is_as_printed(size: Gauge, class_c: float) -> None:
    around = Surroundings(70, 9, 0.2, 60_000) if size.awg in SIZES[SIZES.index("8") :] else BASIS_11_9
    for scaled in (False, True):
        assert wire_table_ampacity(size, class_c, around, scaled).amperes == pytest.approx(printed_amperes(size, class_c)[0].value)


@given(gauges, classes, surroundings)
def test_unscaled_it_is_never_more_than_printed_and_never_more_than_scaled(size: Gauge, class_c: float, around: Surroundings) -> None:
    plain = wire_table_ampacity(size, class_c, around)
    scaled = wire_table_ampacity(size, class_c, around, scaled=True)
    assert 0 < plain.amperes <= printed_amperes(size, class_c)[0].value
    assert plain.amperes <= scaled.amperes + 1e-12
    assert (plain.basis, scaled.basis) == (Basis.TABLE_11_9, Basis.TABLE_11_9_SCALED)


@given(gauges, classes, surroundings, st.floats(0, 30), st.integers(0, 5), st.floats(0, 0.5))
def test_harsher_surroundings_carry_no_more(size: Gauge, class_c: float, around: Surroundings, warmer: float, wires: int, loaded: float) -> None:
    harsh = Surroundings(min(around.ambient_c + warmer, 100), min(around.wires + wires, 19), min(around.loaded + loaded, 1), around.altitude_ft)
    assert wire_table_ampacity(size, class_c, harsh, True).amperes <= wire_table_ampacity(size, class_c, around, True).amperes + 1e-12


def test_the_scaled_table_stays_below_the_worked_example() -> None:
    """AC 43.13-1B 11-67, example 2, printed: 14 AWG, 200 C class, 50 C, 8 wires at 60 %, 20 000 ft: 26 A from the free-air figure."""
    assert wire_table_ampacity(gauge("14"), 200, Surroundings(50, 8, 0.6, 20_000), scaled=True).amperes < 26


@pytest.mark.parametrize(
    ("size", "around"),
    [
        ("18", Surroundings(70, 20, 0.4, 10_000)),  # the bundle figure is known to 19 wires
        ("8", Surroundings(70, 20, 0.2, 10_000)),
        ("18", Surroundings(150, 1, 0.2, 10_000)),  # air as hot as the insulation may be
        ("18", Surroundings(70, 5, 0.2, 60_001)),
        ("18", Surroundings(70, 5, 1.01, 10_000)),
        ("18", Surroundings(70, 0, 0.2, 10_000)),
    ],
)
def test_where_table_11_9_does_not_reach_there_is_no_answer(size: str, around: Surroundings) -> None:
    with pytest.raises(OutsideTable):
        wire_table_ampacity(gauge(size), 150, around)


def test_many_lightly_loaded_wires_are_the_basis_of_table_11_9() -> None:
    assert wire_table_ampacity(gauge("18"), 150, Surroundings(70, 60, 0.2, 10_000)).amperes == 9


def test_every_limit_names_its_basis_and_what_it_rests_on() -> None:
    by_protector = protected_ampacity(gauge("18"), "breaker")
    by_wire = wire_table_ampacity(gauge("18"), 150, BASIS_11_9)
    by_air = derated(20, 4, 0.5, 30_000)
    assert [a.basis for a in (by_protector, by_wire, by_air)] == [Basis.TABLE_11_3, Basis.TABLE_11_9, Basis.FREE_AIR]
    assert [a.rests_on[0].title for a in (by_protector, by_wire)] == ["AC 43.13-1B Table 11-3", "AC 43.13-1B Table 11-9"]
    assert by_protector.amperes > by_wire.amperes  # the two bases differ
    assert by_air.rests_on[0].status == "memory"  # 30 000 ft is read at 35 000 ft, which is from memory


def test_factors_are_read_at_the_printed_point_above() -> None:
    assert bundle_factor(5, 0.2) == bundle_factor(5, 0.01)
    assert bundle_factor(5, 0.41).value == bundle_factor(5, 0.6).value
    assert altitude_factor(0).value == altitude_factor(20_000).value > altitude_factor(20_001).value
    with pytest.raises(OutsideTable, match="35 000 ft"):
        altitude_factor(35_001)
    with pytest.raises(OutsideTable):
        bundle_factor(20, 0.2)


@given(gauges, lengths, st.floats(0, 100), temperatures)
def test_a_drop_is_the_sum_of_its_shares_and_goes_with_the_current(size: Gauge, length: float, amperes: float, celsius: float) -> None:
    out, back = Conductor("out", size, length, celsius), Conductor("back", size, length / 2, celsius)
    found = run_drop([out, back], amperes, "14 V", "continuous", {"pin": 0.005})
    assert found.volts == pytest.approx(math.fsum(v for _, v in found.shares))
    assert [name for name, _ in found.shares] == ["out", "back", "pin"]
    doubled = run_drop([out, back], 2 * amperes, "14 V", "continuous", {"pin": 0.005})
    assert doubled.volts == pytest.approx(2 * found.volts)
    assert found.within or not doubled.within


def test_a_drop_names_the_figures_it_rests_on() -> None:
    found = run_drop([Conductor("W1", gauge("18"), 1), Conductor("W2", Gauge(None, 1.0), 1)], 5, "14 V", "intermittent")
    assert [str(o) for o in found.rests_on] == ["AC 43.13-1B Table 11-6 (from memory)", "AC 43.13-1B Table 11-9", "IEC 60228 class 5"]


def test_a_contact_needs_the_sum_of_its_loads_each_by_its_kind() -> None:
    """12 V class: 2 A of lamps x 5, 3 A of motor x 2, 1 A of electronics read as resistive x 1."""
    need = needed_rating([ContactLoad("lamp", 2, "lamp"), ContactLoad("pump", 3, "motor"), ContactLoad("radio", 1, "electronic")], "14 V")
    assert need.amperes == 17
    assert [f.read_as for _, _, f in need.shares] == [None, None, "resistive"]


@given(st.floats(-40, 140), st.floats(-40, 300), st.floats(0.1, 5), st.floats(1, 1000))
def test_the_area_needed_just_bears_the_fault(start: float, end: float, seconds: float, amperes: float) -> None:
    if end <= start + 1:
        with pytest.raises(ValueError, match="cannot warm"):
            adiabatic_k(start, min(start, end))
        return
    area = needed_area_mm2(amperes, seconds, start, end)
    assert withstand(Gauge(None, area), start, end).seconds(amperes) == pytest.approx(seconds)


def test_the_adiabatic_equation_is_refused_above_five_seconds() -> None:
    with pytest.raises(ValueError, match="outside"):
        needed_area_mm2(100, 5.1, 70, 160)
    assert withstand(gauge("18"), 70, 150).seconds(0) == math.inf


@given(st.sampled_from(("blade", "large_blade", "cartridge")), st.floats(1, 80), st.floats(2, 100), st.floats(2, 100))
def test_a_fuse_lets_no_more_through_at_a_larger_fault_and_more_at_a_larger_rating(kind: str, rating: float, a: float, b: float) -> None:
    a, b = sorted((a, b))
    assert let_through(kind, rating, rating * a).i2t_a2s >= let_through(kind, rating, rating * b).i2t_a2s
    assert let_through(kind, rating, rating * a).i2t_a2s < let_through(kind, rating * 1.5, rating * 1.5 * a).i2t_a2s


def test_the_wire_bears_what_the_blade_fuse_of_its_size_lets_through() -> None:
    """Worked by hand: 5 A blade fuse, 2 x 5 A for 5 s, 500 A2s; 22 AWG has 755 circular mil, 0.3826 mm2; k from 70 to 150 C is 109.2."""
    assert let_through("blade", 5, 200).i2t_a2s == 500
    assert withstand(gauge("22"), 70, 150).i2t_a2s == pytest.approx((109.2 * 0.3826) ** 2, rel=0.002)


# 1.5 for the same or a slower class above, 2 for a fuse above a breaker; common practice, no source
@pytest.mark.parametrize(
    ("upper", "lower", "promised"),
    [
        (("breaker", 15), ("breaker", 10), True), (("breaker", 14), ("breaker", 10), False), (("breaker", 15), ("fuse", 10), True),
        (("fuse", 20), ("breaker", 10), True), (("fuse", 19), ("breaker", 10), False), (("fuse", 20), ("breaker-switch", 10), True),
        (("limiter", 15), ("breaker", 10), True), (("breaker", 100), ("limiter", 10), False), (("fuse", 100), ("limiter", 10), False),
        (("fuse", 15), ("fuse", 10), True), (("fuse", 3), ("fuse", 2), True),
    ],
)  # fmt: skip
def test_ratings_promise_an_order_of_opening(upper: tuple[str, float], lower: tuple[str, float], promised: bool) -> None:
    assert selectivity(*upper, *lower).promised is promised
