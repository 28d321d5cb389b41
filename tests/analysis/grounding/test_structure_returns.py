"""Loads that are grounded to metal structure, against a sum of resistances by hand."""

from __future__ import annotations

import pytest

from tests.analysis.small_aircraft import small

RING = 0.0002
TO_ENGINE = ("N5: {from: heater.return, to: block.heater,", "N5: {from: heater.return, to: engine.heater,")


def test_a_load_on_structure_returns_through_the_strap() -> None:
    """From the terminal on the engine to the negative of the battery.

    Its ring and that of the strap, the strap, two rings of the block, the lead of the battery.
    """
    found = small(TO_ENGINE).grounds.structure_returns["parts/heater"]
    assert found.terminal == "engine.heater" and found.missing == ""
    assert found.source == "parts/main-battery"
    assert found.ohms == pytest.approx(2 * RING + 0.002 + 2 * RING + 0.001, rel=1e-6)


def test_structure_that_does_not_conduct_grounds_nothing() -> None:
    composite = small(TO_ENGINE, ("airframe: metal", "airframe: composite"))
    assert composite.grounds.structure_returns == {}


def test_a_load_on_a_block_has_no_return_through_structure() -> None:
    assert small().grounds.structure_returns == {}
