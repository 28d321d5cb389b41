"""Whether a terminal of a part is left open that is not declared unused: a lead would put that right, at a monitor and in a check alike."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.edits import edited
from tests.rule_cases import BASES, parsed, text

SWITCH = {
    "kind": "switch",
    "label": "ODD",
    "positions": {"down": [], "up": [["line", "load"]]},
    "normal": "up",
}


@pytest.mark.parametrize(
    ("own", "left"),
    [
        ({}, ["parts/odd/connection"]),
        ({"parts/odd/unused": ["load"]}, []),
        ({"wires/Z2": {"from": "odd.load", "to": "audio-panel.supply"}}, []),
        ({"wires/Z2": {"from": "odd.load", "to": "main-ground.odd"}, "remove": ["wires/Z1"]}, ["parts/odd/connection"]),
    ],
)  # fmt: skip
def test_a_terminal_is_left_open_unless_it_is_declared_unused(own: dict[str, Any], left: list[str]) -> None:
    data = edited(parsed(BASES / "monitored.yaml"), {
        "parts/odd": SWITCH,
        "wires/Z1": {"from": "main-bus.odd", "to": "odd.line"},
        "watch/monitors/odd": {"shows": "live", "senses": "odd.line"},
    })  # fmt: skip
    states = {f"operation/states/{name}/switches/odd": "up" for name in data["operation"]["states"]}
    detection = Facts(read_text(text(edited(edited(data, states), own)), "x.json")).detection
    assert detection.left_open("odd") == detection.open_at_sense_point("odd") == left
