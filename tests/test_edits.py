"""Edits of a design do what they say, take no path that is not there, and can be taken back."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from tests.edits import EditError, edited, inverse

DATA: dict[str, Any] = {
    "aircraft": {"name": "Bench"},
    "parts": {"bus": {"kind": "bus"}, "a/b~c": {"kind": "fuse", "rating": "5 A"}},
    "wires": {
        "W1": {"from": "bus.a", "gauge": "22 AWG"},
        "W2": {"from": "bus.b", "gauge": "20 AWG"},
        "W3": {"from": "bus.c"},
    },
}


@pytest.mark.parametrize(
    ("edits", "path", "value"),
    [
        ({"aircraft/name": "Rig"}, ("aircraft", "name"), "Rig"),
        ({"parts/a~1b~0c/rating": "7 A"}, ("parts", "a/b~c", "rating"), "7 A"),
        (
            {"parts/lamp": {"kind": "load"}, "parts/lamp/current": "1 A"},
            ("parts", "lamp"),
            {"kind": "load", "current": "1 A"},
        ),
        (
            {"remove": ["wires/*/gauge"]},
            ("wires",),
            {"W1": {"from": "bus.a"}, "W2": {"from": "bus.b"}, "W3": {"from": "bus.c"}},
        ),
        ({"remove": ["wires/W1"], "wires/W1": {"from": "bus.d"}}, ("wires", "W1"), {"from": "bus.d"}),
        (
            {"wires": {"W2": DATA["wires"]["W2"], "W1": DATA["wires"]["W1"]}},
            ("wires", "W2", "gauge"),
            "20 AWG",
        ),
    ],
)
def test_an_edit_is_made_and_taken_back(edits: dict[str, Any], path: tuple[str, ...], value: object) -> None:
    before = copy.deepcopy(DATA)
    after = edited(DATA, edits)
    assert before == DATA
    assert after != DATA or list(after["wires"]) != list(DATA["wires"])
    found: Any = after
    for key in path:
        found = found[key]
    assert found == value
    assert edited(after, inverse(DATA, edits)) == DATA


@pytest.mark.parametrize(
    ("edits", "problem"),
    [
        ({"aircraft/name": "Bench"}, "already"),
        ({"parts/bush/rating": "5 A"}, "no group parts/bush"),
        ({"parts/bus/kind/rating": "5 A"}, "no group parts/bus/kind"),
        ({"remove": ["parts/bush"]}, "not there"),
        ({"remove": ["wires/*/length"]}, "nowhere"),
    ],
)
def test_an_edit_that_changes_nothing_is_refused(edits: dict[str, Any], problem: str) -> None:
    with pytest.raises(EditError, match=problem):
        edited(DATA, edits)
