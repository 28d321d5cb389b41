"""Ring terminals on one stud."""

from __future__ import annotations

from reviewer.analysis.wiring.terminal_stacking import crowded_terminals
from tests.analysis.operating_point.bench import bench


def test_a_battery_terminal_with_more_wires_than_allowed_is_named_with_them() -> None:
    design = bench().design
    assert crowded_terminals(design, 4)["main-battery"] == {}
    crowded = crowded_terminals(design, 1)
    assert crowded["reserve-battery"] == {"reserve-battery.positive": ("W30", "W43", "W44")}


def test_a_ground_block_is_a_row_of_tabs_and_is_not_counted() -> None:
    assert "main-ground" not in crowded_terminals(bench().design, 0)
