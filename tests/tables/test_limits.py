"""Limits: what is asked for outside what is printed."""

from __future__ import annotations

import pytest

from reviewer.tables.limits import allowed_drop, alternator_share, structure_return_ohms, switch_factor
from reviewer.tables.lookup import OutsideTable


def test_a_starter_is_a_motor_and_a_heater_a_resistance() -> None:
    assert switch_factor("28 V", "starter").value == switch_factor("28 V", "motor").value
    assert (
        switch_factor("28 V", "heater").read_as == "resistive"
        and switch_factor("28 V", "lamp").read_as is None
    )


def test_each_limit_carries_its_source() -> None:
    origins = [
        figure.origin.source
        for figure in (allowed_drop("14 V", "continuous"), alternator_share(), structure_return_ohms())
    ]
    assert origins == ["ac-43-13-1b", "ac-43-13-1b", "faa-h-8083-32"]


def test_another_voltage_is_refused_with_the_range() -> None:
    with pytest.raises(OutsideTable, match="12 V"):
        switch_factor("12 V system", "lamp")
