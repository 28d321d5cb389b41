"""What is missing, in words."""

from __future__ import annotations

from reviewer.analysis.not_assessable import gaps
from reviewer.reports.budget.words import battery_amperes


def test_each_key_is_said_once_and_many_names_are_counted() -> None:
    wires = {f"wires/W{i}": "`gauge` and `length`" for i in range(1, 46)}
    few = "`gauge` and `length` of W1, W2, W3, W4 and 41 more"
    assert gaps(wires) == few
    assert gaps({**wires, "parts/radio": "`current`"}) == f"{few}, `current` of radio"
    assert gaps({"wires/W1": "`length`", "radio": "`current`"}, None) == "`length` of W1, `current` of radio"
    assert gaps(wires, None).endswith("W44, W45")


def test_a_battery_that_is_charged_gives_nothing() -> None:
    assert [battery_amperes(a) for a in (2.0, 0.0, -0.34)] == ["2 A", "no current", "charged at 0.34 A"]
