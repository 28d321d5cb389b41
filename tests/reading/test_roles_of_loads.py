"""What a load is for: what it heats, how long it runs, what drives it. Each key belongs to its kind of load."""

from __future__ import annotations

import json
from typing import Any

import pytest

from reviewer.reading import read_text
from reviewer.reading.problem import Unreadable


def problems(when: str = "working", **load: Any) -> list[str]:
    data = {
        "format": 1,
        "aircraft": {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
        "parts": {
            "computer": {
                "kind": "instrument",
                "outputs": {"one": {"terminal": "drive", "switches": "ground", "when": when}},
            },
            "radio": {"kind": "instrument"},
            "bus": {"kind": "bus"},
            "unit": {"kind": "load", **load},
        },
        "wires": {},
    }
    try:
        read_text(json.dumps(data), "bench.yaml")
    except Unreadable as unreadable:
        return [problem.message for problem in unreadable.problems]
    return []


@pytest.mark.parametrize(
    "load",
    [
        {"type": "heater", "heats": "pitot-tube"},
        {"type": "starter", "longest-run": "10 s"},
        {"type": "inductive", "driver": "computer"},
        {"type": "inductive", "driver": "unit"},
    ],
)
def test_a_key_of_its_own_kind_is_read(load: dict[str, Any]) -> None:
    assert problems(**load) == []


@pytest.mark.parametrize(
    ("load", "said"),
    [
        ({"type": "motor", "heats": "pitot-tube"}, "only a load of `type: heater` has `heats`"),
        ({"type": "motor", "longest-run": "10 s"}, "only a load of `type: starter` has `longest-run`"),
        ({"driver": "radio"}, "`radio` has no `outputs`"),
        ({"driver": "bus"}, "`bus` is a bus, not a load or instrument"),
        ({"driver": "computr"}, "did you mean `computer`?"),
    ],
)
def test_a_key_of_another_kind_is_a_mistake(load: dict[str, Any], said: str) -> None:
    (problem,) = problems(**load)
    assert said in problem


def test_a_unit_whose_outputs_are_mistaken_is_not_said_to_have_none() -> None:
    (problem,) = problems(when="powered", driver="computer")
    assert "`outputs/one/when` is `powered`" in problem
