"""Edits of a text give the same data as edits of its data, and keep its comments."""

from __future__ import annotations

from typing import Any

import pytest
import yaml

from tests.edits import edited
from tests.faults.in_text import edited_text

TEXT = """\
# A bench.
parts:
  # ---- Buses
  main-bus: {kind: bus, rating: 30 A, label: MAIN}
  # Its contacts weld.
  relay:
    kind: relay
    coil: [plus, minus]  # one end is fed
  a/b: {kind: fuse, rating: 5 A}

wires:
  # Short.
  W1: {from: main-bus.a, to: relay.plus}
  W2: {from: relay.minus, to: ground.a}
"""


@pytest.mark.parametrize(
    ("edits", "lines"),
    [
        (
            {"parts/main-bus/rating": "20 A"},
            ["  # edit: x", "  main-bus: {kind: bus, rating: 20 A, label: MAIN}"],
        ),
        ({"remove": ["parts/main-bus/kind"]}, ["  # edit: x", "  main-bus: {rating: 30 A, label: MAIN}"]),
        ({"remove": ["parts/main-bus/label"]}, ["  # edit: x", "  main-bus: {kind: bus, rating: 30 A}"]),
        (
            {"parts/main-bus/zone": "cabin"},
            ["  # edit: x", "  main-bus: {kind: bus, rating: 30 A, label: MAIN, zone: cabin}"],
        ),
        ({"remove": ["parts/relay"]}, ["  # edit: x; relay is gone"]),
        ({"parts/relay/kind": "contactor"}, ["    # edit: x", "    kind: contactor"]),
        ({"parts/relay/coil": ["a", "b"]}, ["    # edit: x", "    coil: [a, b]  # one end is fed"]),
        ({"parts/relay/duty": "continuous"}, ["    # edit: x", "    duty: continuous"]),
        ({"parts/a~1b/rating": "7 A"}, ["  # edit: x", "  a/b: {kind: fuse, rating: 7 A}"]),
        ({"remove": ["wires/W1"]}, ["  # edit: x; W1 is gone"]),
        ({"wires/W1/to": "lamp.a", "wires/W3": {"from": "b.c"}}, ["  # edit: x", "  W3: {from: b.c}"]),
    ],
)
def test_an_edit_of_the_text_is_the_edit_of_the_data(edits: dict[str, Any], lines: list[str]) -> None:
    made = edited_text(TEXT, edits, "x")
    data = yaml.safe_load(made)
    assert data == edited(yaml.safe_load(TEXT), edits)
    assert "\n".join(lines) + "\n" in made
    assert "# A bench.\n" in made and "# ---- Buses\n" in made
    assert ("# Its contacts weld.\n" in made) == ("relay" in data["parts"])
    assert ("# Short.\n" in made) == ("W1" in data["wires"])


def test_a_new_entry_stands_beside_what_the_same_edits_touch() -> None:
    made = edited_text(TEXT, {"wires/W1/to": "lamp.a", "wires/W3": {"from": "b.c"}}, "x")
    assert list(yaml.safe_load(made)["wires"]) == ["W1", "W3", "W2"]


def test_edits_of_two_names_that_touch_one_line_are_both_marked() -> None:
    made = edited_text(
        edited_text(TEXT, {"parts/main-bus/rating": "20 A"}, "x"), {"parts/main-bus/label": "BUS"}, "y"
    )
    assert "  # edit: x\n  # edit: y\n  main-bus: {kind: bus, rating: 20 A, label: BUS}\n" in made
