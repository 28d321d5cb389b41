"""The path to the field of an alternator."""

from __future__ import annotations

import pytest

from tests.analysis.operating_point.bench import bench

ALTERNATOR = "parts/alternator"


def test_the_field_is_protected_by_its_breaker() -> None:
    assert bench().sources.unprotected_trip(ALTERNATOR) == ()
    bare_field = bench(
        (
            "  W12: {from: field-breaker.load, to: alternator-switch.line,",
            "  W12: {from: main-bus.field-2, to: alternator-switch.line,",
        )
    ).sources.unprotected_trip(ALTERNATOR)
    assert "wires/W12" in bare_field and "wires/W13" in bare_field


def test_a_sense_at_the_field_is_low_by_the_drop_of_its_path() -> None:
    """3 A (typical) through 2.1 m of 20 AWG, a breaker of 5 A and a switch: 0.068 + 0.03 + 0.01 ohm."""
    senses = ("set-point: 14.4 V,", "set-point: 14.4 V, regulator-senses: field,")
    rise = bench(senses).sources.sense_rise(ALTERNATOR)
    assert rise is not None and rise.volts == pytest.approx(
        3.06 * (9.88e-3 / 0.3048 * 2.1 + 0.03 + 0.01), rel=0.03
    )
    assert [e for e in rise.path if e.startswith("parts/")] == [
        "parts/field-breaker",
        "parts/alternator-switch",
    ]
