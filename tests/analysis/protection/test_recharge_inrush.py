"""The first current into a flat reserve, against a loop worked by hand."""

from __future__ import annotations

import pytest

from tests.analysis.small_aircraft import small

RING = 0.0002


def test_the_inrush_is_the_voltage_left_over_the_resistance_of_the_loop() -> None:
    """14.4 V of the alternator, less 11.8 V of a flat battery and 0.5 V of the diode.

    The battery is lead-acid; bus, block and engine have two rings each.
    """
    found = small().protection.recharge_inrush_of("reserve")
    assert found is not None
    out, back = 0.002 + 0.010 + 0.010 + 0.007 + 0.010, 0.0005 + 0.002 + 0.002
    loop = 0.020 + out + back + 3 * 2 * RING
    assert found.ohms == pytest.approx(loop, rel=1e-6)
    assert found.amps == pytest.approx((14.4 - 11.8 - 0.5) / loop, rel=1e-6)
    assert (found.protectors, found.diodes, found.state) == (("charge-fuse",), ("charge-diode",), "cruise")


def test_no_alternator_no_inrush() -> None:
    facts = small(("cruise: {use: flight, engine: running,", "cruise: {use: flight, engine: stopped,"))
    assert facts.protection.recharge_inrush_of("reserve") is None
