"""Limits of meter readings at the worst-case corners."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.tolerances import DEAD, rounded
from reviewer.reading import read_text
from tests.analysis.operating_point.bench import bench
from tests.analysis.second_alternator import second_alternator
from tests.edits import edited
from tests.rule_cases import design, text


def test_limits_are_rounded_outward() -> None:
    assert rounded(13.81, 14.52) == (13.8, 14.6) and rounded(13.8, 14.6) == (13.8, 14.6)
    assert (DEAD.low, DEAD.high) == (-0.1, 0.1) and DEAD.holds(0.1) and not DEAD.holds(0.2)


def test_the_set_point_and_the_error_of_the_meter_bound_the_bus() -> None:
    """13.8 to 14.6 V at the regulator (common practice), a hundredth and a step of the voltmeter."""
    found = bench().points.spread("cruise").monitor("main-volts")
    assert found is not None and found.value == pytest.approx(14.35, abs=0.02)
    assert 13.4 <= found.low <= 13.8 and 14.6 <= found.high <= 15.0


def test_a_battery_ready_for_flight_is_four_fifths_full_at_least() -> None:
    """Open circuit: 12.44 V at 80 %, 12.6 V full; less what the loads drop, and the error of the meter."""
    unknowns = {u.what: (u.low, u.high) for u in bench().points.spread("parked").unknowns}
    assert unknowns["charge of main-battery"] == (80, 100)
    found = bench().points.spread("parked").volts("main-battery.positive")
    assert (
        found is not None
        and found.low == pytest.approx(12.2, abs=0.06)
        and found.high == pytest.approx(12.9, abs=0.06)
    )


@pytest.mark.parametrize(("nominal", "low", "high"), [("14 V", 13.8, 14.6), ("28 V", 27.6, 29.2)])
def test_the_regulator_is_anywhere_in_the_range_of_practice_for_its_class(
    nominal: str, low: float, high: float
) -> None:
    """13.8 to 14.6 V over temperature, twice that in a 28 V system; a set point of its own is within."""
    own = f"{low + 0.5 if nominal == '14 V' else high + 0.3:.1f}"
    facts = bench(("nominal: 14 V", f"nominal: {nominal}"), ("set-point: 14.4 V", f"set-point: {own} V"))
    unknowns = {u.what: u for u in facts.points.spread("cruise").unknowns}
    found = unknowns["set point of the regulator"]
    assert (found.low, found.high) == (low, max(high, float(own))) and found.unit == "V"


def test_the_error_of_an_ammeter_is_a_share_of_its_shunt_and_half_an_ampere() -> None:
    """2 % of 60 A and 0.5 A are 1.7 A each way; a load of 0.5 A is known by a tenth of it."""
    facts = bench(("audio-shunt: {kind: shunt, rating: 5 A}", "audio-shunt: {kind: shunt, rating: 60 A}"))
    found = facts.points.spread("cruise").monitor("audio-amps")
    assert found is not None and found.value == pytest.approx(0.5, abs=0.02)
    assert (found.low, found.high) == (pytest.approx(0.45 - 1.7, abs=0.1), pytest.approx(0.55 + 1.7, abs=0.1))
    unrated = bench(("audio-shunt: {kind: shunt, rating: 5 A}", "audio-shunt: {kind: shunt}"))
    found = unrated.points.spread("cruise").monitor("audio-amps")
    assert found is not None and found.high == pytest.approx(0.55 + 0.5, abs=0.11)


def test_what_two_voltmeters_differ_by_has_both_of_their_errors() -> None:
    """Of one instrument the error of its scale is in both readings: a hundredth of the difference and two steps of 0.1 V are left."""
    spread = bench().points.spread("cruise")
    main, reserve = spread.monitor("main-volts"), spread.monitor("reserve-volts")
    apart = spread.difference("main-volts", "reserve-volts")
    assert main is not None and reserve is not None and apart is not None
    assert apart.value == pytest.approx(main.value - reserve.value)
    shown = "senses: main-battery.positive, displayed-on: audio-panel}"
    one = bench(
        ("senses: main-battery.positive}", shown),
        ("reserve-volts: {signal: volts-in}}", "reserve-volts: {signal: volts-in}, main: {signal: main-in}}"),
        ("  W45: {", "  W46: {from: main-battery.positive, to: audio-panel.main-in}\n  W45: {"),
    ).points.spread("cruise")
    alike = one.difference("main-volts", "reserve-volts")
    assert alike is not None and alike.value == pytest.approx(apart.value, abs=0.05)
    # a hundredth of 14.4 V and of 13.8 V, each way
    assert apart.high - alike.high == pytest.approx(0.28, abs=0.11)
    assert alike.low - apart.low == pytest.approx(0.28, abs=0.11)
    for other in ("main-live", "alternator-amps"):
        assert spread.difference("main-volts", other) is None is spread.difference(other, "main-volts")


@pytest.mark.parametrize(("start", "known"), [("reserve-battery.positive", True), ("left-fuse.load", False)])
def test_a_monitor_whose_lead_is_not_known_has_no_limits(start: str, known: bool) -> None:
    """With its lead and a spare input both elsewhere nobody can say what it should read; a spare input alone does no harm."""
    facts = bench(
        (
            "reserve-volts: {signal: volts-in}}",
            "reserve-volts: {signal: volts-in}, spare: {signal: spare-in}}",
        ),
        ("W44: {from: reserve-battery.positive,", f"W44: {{from: {start},"),
        ("  W45: {", "  W46: {from: charge-breaker.load, to: audio-panel.spare-in}\n  W45: {"),
    )
    spread, point = facts.points.spread("stopped"), facts.points.operating_point("stopped")
    assert (spread.monitor("reserve-volts") is not None) is known
    assert (spread.difference("main-volts", "reserve-volts") is not None) is known
    assert (point.readings["reserve-volts"].value is not None) is known


OF_MAIN, OF_BOTH = (
    {"set point of the regulator": (13.8, 14.6)},
    {
        "set point of the regulator of alternator": (13.8, 14.6),
        "set point of the regulator of second": (13.2, 14.6),
    },
)


@pytest.mark.parametrize(
    ("second", "regulator", "held"),
    [
        ({"set-point": "13.2 V"}, None, OF_BOTH),
        ({"set-point": "13.2 V", "standby-for": ["alternator"]}, None, OF_MAIN),
        ({"standby-for": ["alternator"]}, {"set-point": "13.2 V"}, OF_MAIN),
        ({"set-point": "14.0 V"}, None, OF_MAIN),
    ],
    ids=["low", "standby", "standby with a regulator apart", "alike"],
)
def test_each_alternator_has_the_range_of_its_own_set_point(
    second: dict[str, Any], regulator: dict[str, Any] | None, held: dict[str, tuple[float, float]]
) -> None:
    """One that is set low takes nothing from the other; a standby is held to its set point, wherever that
    is written."""
    excitation = "field" if regulator else "permanent-magnet"
    edits: dict[str, Any] = second_alternator("60 A", "13.2 V")
    edits["parts/second"] = {"kind": "alternator", "excitation": excitation, "rating": "60 A", **second}
    if regulator:
        edits["parts/second-regulator"] = {"kind": "regulator", "regulates": "second", **regulator}
        edits["wires/W94"] = {"from": "main-bus.regulator", "to": "second-regulator.supply"}
        edits["wires/W95"] = {"from": "second-regulator.field", "to": "second.field"}
        edits["wires/W96"] = {"from": "second-regulator.sense", "to": "main-bus.sense"}
        edits["wires/W97"] = {"from": "second-regulator.ground", "to": "main-ground.regulator"}
    made = edited(design("main-batteries-meet-endurance-after-alternator-loss", "met"), edits)
    found = Facts(read_text(text(made), "design.yaml")).points.spread("cruise").unknowns
    assert {u.what: (u.low, u.high) for u in found if u.what.startswith("set point")} == held
