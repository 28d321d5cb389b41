"""The chargers that a state lists: what they are, and where each of them can work."""

from __future__ import annotations

import json
from typing import Any

import pytest

from reviewer.reading import read_text
from reviewer.reading.problem import Unreadable

PARTS = {
    "battery": {"kind": "battery"},
    "mains": {"kind": "charger", "from": "mains"},
    "solar": {"kind": "charger", "from": "solar"},
    "aux": {"kind": "charger", "from": "another-bus"},
}


def problems(states: dict[str, Any], wires: dict[str, Any] | None = None) -> list[str]:
    aircraft = {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "concept"}
    operation = {"normal": next(iter(states)), "states": states}
    data = {
        "format": 1,
        "aircraft": aircraft,
        "parts": PARTS,
        "wires": wires or {},
        "operation": operation,
    }
    try:
        read_text(json.dumps(data), "bench.yaml")
    except Unreadable as unreadable:
        return [str(problem) for problem in unreadable.problems]
    return []


def test_the_mains_are_on_the_ground_and_the_sun_everywhere() -> None:
    parked = {"use": "ground", "chargers": ["mains", "solar"]}
    flight = {"like": "parked", "use": "flight", "chargers": ["solar"]}
    assert problems({"parked": parked, "flight": flight}) == []


@pytest.mark.parametrize(
    ("states", "words"),
    [
        (
            {"flight": {"chargers": ["mains"]}},
            "state flight: mains is fed from the mains, which only a state",
        ),
        (
            {
                "parked": {"use": "ground", "chargers": ["mains"]},
                "flight": {"like": "parked", "use": "flight"},
            },
            "state flight: mains, listed by state parked, is fed from the mains",
        ),
        ({"flight": {"chargers": ["aux"]}}, "aux works whenever its input has power; remove it"),
        ({"flight": {"chargers": ["battery"]}}, "`battery` is a battery, not a charger"),
        ({"flight": {"chargers": ["solr"]}}, "there is no charger `solr` (did you mean `solar`?)"),
    ],
)
def test_a_mistake_gives_one_sentence(states: dict[str, Any], words: str) -> None:
    found = problems(states)
    assert len(found) == 1 and words in found[0], found


def test_only_a_charger_that_a_bus_feeds_has_an_input() -> None:
    wires = {"W1": {"from": "battery.positive", "to": "aux.input"}}
    assert problems({"flight": {}}, wires) == []
    (found,) = problems({"flight": {}}, {"W1": {"from": "battery.positive", "to": "solar.input"}})
    assert "solar has no terminal `input`; it has positive, negative" in found
