"""Batteries in series, worked out by hand, and by the plain evaluator."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.sources.charging import window
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.circuit import circuit_of
from tests.oracle.engine import differences, fault_of
from tests.oracle.plain import solve

CELL = {"nominal": "14 V", "chemistry": "lead-acid", "capacity": "24 Ah", "internal-resistance": "0.05 ohm"}


def string(alternator: bool = False, **upper: str) -> SmallDesign:
    """``low`` with ``battery`` on it, a heater of 28 V at the bus, one of 14 V between them."""
    made = SmallDesign()
    made.parts["battery"] |= {**CELL, **upper}
    made.parts["low"] = {"kind": "battery", **CELL}
    made.wires["W2"] = {"from": "low.positive", "to": "battery.negative"}
    made.wire("low.negative", "ground")
    made.load("heater", type="heater", current="10 A")
    if alternator:
        made.alternator()
        made.parts["alternator"] |= {"rating": "50 A", "set-point": "28.4 V"}

    def at_28(data: dict[str, Any]) -> None:
        data["aircraft"]["nominal"] = "28 V"

    design, made.design = (
        made.design,
        lambda name, dress=None: design(  # type: ignore[method-assign]
            name, lambda data: (dress(data) if dress else None, at_28(data))[1]
        ),
    )
    return made


def test_their_volts_and_resistances_add() -> None:
    point = string().facts().points.operating_point("cruise", None, ())
    rest = point.volts["bus"] + 0.1 * point.given["parts/battery"]
    assert point.given["parts/battery"] == pytest.approx(point.given["parts/low"], abs=1e-4)
    assert point.given["parts/battery"] == pytest.approx(point.volts["bus"] / 2.8, rel=1e-3)
    half = point.volts["low.positive"] + 0.05 * point.given["parts/low"] - point.volts["low.negative"]
    assert rest == pytest.approx(2 * half, abs=0.01) and 12.5 < half < 13.2


def test_either_is_lost_with_the_other_and_a_tap_with_the_lower_one() -> None:
    made = string()
    made.load("tap", start="low.positive", nominal="14 V", type="heater", current="3 A")
    facts = made.facts()
    answer = cruise(facts)
    assert facts.sources.depended_on == ("parts/battery", "parts/low")
    circuit = circuit_of(facts.design)
    plain = solve(circuit, answer.state)
    for failure in answer.failures:
        found = conduct(facts.network, answer.state, [failure], answer.healthy)
        theirs = solve(circuit, answer.state, (fault_of(facts.network, failure),), plain)
        assert not [what for what, mask in differences(facts.network, found, [theirs]) if mask], failure
    for element, lit in (("parts/battery", {"tap"}), ("parts/low", set()), ("wires/W2", {"tap"})):
        found = conduct(facts.network, answer.state, [Failure(element, OPEN)], answer.healthy)
        assert {n for n in ("heater", "tap") if found.powered[f"parts/{n}"]} == lit


def test_each_is_charged_in_its_own_window() -> None:
    facts = string(alternator=True).facts()
    assert set(facts.sources.charged) == {"parts/battery", "parts/low"}
    for name in ("battery", "low"):
        own = window(facts.design, facts.design.parts[name])
        assert 13.0 < own.low < own.high < 15.0
        for held in facts.sources.charging_points(f"parts/{name}"):
            assert 14.0 < held.volts < 14.4
