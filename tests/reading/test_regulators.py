"""A regulator that is a part of its own: what it may be said to regulate, and what is said at it alone."""

from __future__ import annotations

import json
from typing import Any

import pytest

from reviewer.reading import read_text
from reviewer.reading.problem import Unreadable


def problems(alternator: dict[str, Any], *regulators: dict[str, Any]) -> list[str]:
    parts = {"machine": {"kind": "alternator", **alternator}, "battery": {"kind": "battery"}}
    parts |= {f"keeper-{i}": {"kind": "regulator", **one} for i, one in enumerate(regulators, 1)}
    aircraft = {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "concept"}
    try:
        read_text(json.dumps({"format": 1, "aircraft": aircraft, "parts": parts, "wires": {}}), "bench.yaml")
    except Unreadable as unreadable:
        return [str(problem) for problem in unreadable.problems]
    return []


def test_an_alternator_with_its_regulator_is_read() -> None:
    assert problems({"overvoltage-trip": "16 V"}, {"regulates": "machine", "set-point": "14.4 V"}) == []
    assert problems({"regulator": "external"}, {"regulates": "machine"}) == []


@pytest.mark.parametrize(
    ("alternator", "regulators", "words"),
    [
        ({}, [{"regulates": "battery"}], "`battery` is a battery, not an alternator"),
        ({}, [{"regulates": "machin"}], "there is no alternator `machin`"),
        ({}, [{}], "`regulates`"),
        ({}, [{"regulates": "machine"}, {"regulates": "machine"}], "`keeper-1` regulates machine already"),
        ({"excitation": "permanent-magnet"}, [{"regulates": "machine"}], "no field to feed"),
        ({"regulator": "internal"}, [{"regulates": "machine"}], "inside it or apart"),
        (
            {"set-point": "14.4 V"},
            [{"regulates": "machine"}],
            "`set-point` of machine is said at its regulator",
        ),
        ({"regulator-senses": "field"}, [{"regulates": "machine"}], "`regulator-senses` of machine is said"),
    ],
)
def test_what_contradicts_is_told(
    alternator: dict[str, Any], regulators: list[dict[str, Any]], words: str
) -> None:
    found = problems(alternator, *regulators)
    assert len(found) == 1 and words in found[0], found


def test_a_regulator_that_senses_its_supply_has_no_terminal_for_a_sense_lead() -> None:
    parts = {
        "machine": {"kind": "alternator"},
        "keeper": {"kind": "regulator", "regulates": "machine", "senses": "supply"},
        "bar": {"kind": "bus"},
    }
    wires = {"W1": {"from": "bar.one", "to": "keeper.sense"}}
    aircraft = {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "concept"}
    data = {"format": 1, "aircraft": aircraft, "parts": parts, "wires": wires}
    with pytest.raises(Unreadable) as unreadable:
        read_text(json.dumps(data), "bench.yaml")
    assert "keeper has no terminal `sense`" in str(unreadable.value.problems[0])
