"""The first current into a flat reserve, against a loop worked by hand."""

from __future__ import annotations

import pytest

from tests.analysis.small_aircraft import small

RING = 0.0002


def test_the_inrush_is_the_voltage_left_over_the_resistance_of_the_loop() -> None:
    """14.4 V of the alternator, less 11.8 V of a flat battery and 0.5 V of the diode.

    The battery is lead-acid; bus, block and engine have two rings each.
    """
    found = small(("rating: 40 A,", "rating: 400 A,")).protection.recharge_inrush_of("reserve")
    assert found is not None
    out, back = 0.002 + 0.010 + 0.010 + 0.007 + 0.010, 0.0005 + 0.002 + 0.002
    loop = 0.020 + out + back + 3 * 2 * RING
    assert found.ohms == pytest.approx(loop - 0.020, rel=1e-6)
    assert found.amps == pytest.approx(
        (14.4 - 11.8 - 0.5) / loop, rel=0.08
    )  # what the loads drop, and the curve of the diode
    assert (tuple(found.protectors), tuple(found.diodes)) == (("charge-fuse",), ("charge-diode",))
    assert found.protectors["charge-fuse"] == pytest.approx(found.amps, rel=0.01)
    assert (found.givers, found.state) == (("alternator",), "cruise")


def test_an_alternator_gives_no_more_than_it_can() -> None:
    """20 A, of which 15 A go to the loads."""
    weak = small(("rating: 40 A, set-point: 14.4 V,", "rating: 20 A, set-point: 14.4 V,"))
    found, strong = (
        weak.protection.recharge_inrush_of("reserve"),
        small().protection.recharge_inrush_of("reserve"),
    )
    assert found is not None and strong is not None
    assert 4 < found.amps < 7 < strong.amps


def test_no_alternator_no_inrush() -> None:
    facts = small(("cruise: {use: flight, engine: running,", "cruise: {use: flight, engine: stopped,"))
    assert facts.protection.recharge_inrush_of("reserve") is None
