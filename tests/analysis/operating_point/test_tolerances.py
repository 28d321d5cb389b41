"""Limits of meter readings at the worst-case corners."""

from __future__ import annotations

import pytest

from reviewer.analysis.operating_point.tolerances import DEAD, rounded
from tests.analysis.operating_point.bench import bench


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
