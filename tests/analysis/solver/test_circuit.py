"""Circuits: copper grows with temperature, other resistors do not."""

from __future__ import annotations

import pytest

from reviewer.analysis.solver.circuit import NodalCircuit, Resistor


def test_copper_has_the_resistance_of_its_temperature() -> None:
    """AC 43.13-1B 11-66d(4): (234.5 + T) / 254.5."""
    resistors = NodalCircuit(3, (Resistor(0, 1, 2.0, copper=True), Resistor(1, 2, 2.0)), ()).wires
    assert list(resistors.ohms_at(20.0)) == [2.0, 2.0]
    assert list(resistors.ohms_at(100.0)) == [pytest.approx(2 * 334.5 / 254.5), 2.0]
