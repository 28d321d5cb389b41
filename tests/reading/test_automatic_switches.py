"""A switch that no hand moves: what it must say, what it may follow, and who may not set it."""

from __future__ import annotations

import json
from typing import Any

import pytest

from reviewer.model.design import Design
from reviewer.reading import read_text
from reviewer.reading.problem import Unreadable

CONTACT = {"normal": [], "low": [["line", "load"]]}
LOW = {"kind": "switch", "operated-by": "pressure", "follows": "pump", "at-rest": "low", "positions": CONTACT}
CRASH = {"kind": "switch", "operated-by": "inertia", "at-rest": "low", "positions": CONTACT}


def read(switch: dict[str, Any], **operation: Any) -> Design:
    parts = {"battery": {"kind": "battery"}, "pump": {"kind": "load"}, "sensor": switch}
    aircraft = {"name": "Bench", "nominal": "14 V", "airframe": "metal", "stage": "concept"}
    made = {"normal": "cruise", "states": {"cruise": {"engine": "running"}}, **operation}
    text = {"format": 1, "aircraft": aircraft, "parts": parts, "wires": {}, "operation": made}
    return read_text(json.dumps(text), "bench.yaml")


def problems(switch: dict[str, Any], **operation: Any) -> list[str]:
    try:
        read(switch, **operation)
    except Unreadable as unreadable:
        return [str(problem) for problem in unreadable.problems]
    return []


def test_a_switch_may_be_worked_by_the_current_of_what_it_follows() -> None:
    assert read({**LOW, "operated-by": "current"}).followers == ("sensor",)


@pytest.mark.parametrize("follows", ["pump", "engine"])
def test_a_state_gives_no_position_for_a_switch_that_follows_something(follows: str) -> None:
    design = read({**LOW, "follows": follows})
    assert design.operation is not None
    assert design.followers == ("sensor",) and design.hand_switches == ()
    assert dict(design.operation.states["cruise"].switches) == {}


def test_one_that_follows_nothing_rests_in_every_state_that_does_not_say_otherwise() -> None:
    states = {
        "cruise": {"engine": "running"},
        "crashed": {"like": "cruise", "switches": {"sensor": "normal"}},
        "after": {"like": "crashed"},
        "other": {"switches": {"sensor": "normal"}},
    }
    design = read(CRASH, states=states)
    assert design.operation is not None
    said = {name: dict(state.switches) for name, state in design.operation.states.items()}
    assert said == {
        "cruise": {"sensor": "low"},
        "crashed": {"sensor": "normal"},
        "after": {},
        "other": {"sensor": "normal"},
    }


def without(switch: dict[str, Any], key: str) -> dict[str, Any]:
    return {k: v for k, v in switch.items() if k != key}


@pytest.mark.parametrize(
    ("switch", "operation", "words"),
    [
        (without(LOW, "operated-by"), {}, "write `operated-by`, or remove `follows`"),
        (without(CRASH, "operated-by"), {}, "write `operated-by`, or remove `at-rest`"),
        (without(CRASH, "at-rest"), {}, "`at-rest` is missing"),
        ({**LOW, "at-rest": "lo"}, {}, "there is no position `lo` (did you mean `low`?)"),
        ({**LOW, "follows": "pmp"}, {}, "there is no load, instrument, bus or alternator `pmp`"),
        (
            {**LOW, "follows": "battery"},
            {},
            "`battery` is a battery, not a load, instrument, bus or alternator",
        ),
        ({**LOW, "positions": {"low": [], "mid": [], "normal": []}}, {}, "two positions"),
        ({**LOW, "guard": "guarded"}, {}, "it is not operated by hand but by pressure; remove `guard`"),
        ({**CRASH, "momentary": ["normal"]}, {}, "remove `momentary`"),
        ({**CRASH, "placard": "RESET"}, {}, "remove `placard`"),
        ({**CRASH, "accessible-from": ["left-seat"]}, {}, "remove `accessible-from`"),
        (
            LOW,
            {"states": {"cruise": {"switches": {"sensor": "low"}}}},
            "sensor follows pump and has the position",
        ),
        (LOW, {"excluded": [{"switches": {"sensor": "low"}, "because": "So."}]}, "sensor follows pump"),
        ({**CRASH, "operated-by": "current"}, {}, "write which load, instrument or alternator it `follows`"),
        ({**LOW, "operated-by": "current", "follows": "engine"}, {}, "the current of what moves it?"),
        ({**LOW, "ground": "earth"}, {}, "only a switch operated by voltage or current measures against"),
        ({**LOW, "operated-by": "voltage", "ground": "line"}, {}, "`line` is a terminal of its contacts"),
        (
            {**LOW, "pickup-voltage": "13 V"},
            {},
            "only a switch operated by voltage that follows a load, instrument or bus has a `pickup-voltage`",
        ),
        ({**CRASH, "operated-by": "voltage", "pickup-voltage": "13 V"}, {}, "has a `pickup-voltage`"),
        ({**LOW, "operated-by": "voltage", "dropout-voltage": "12 V"}, {}, "`pickup-voltage` is missing"),
        (CRASH, {"actions": {"a": {"move": {"sensor": "low"}}}}, "the crew cannot move it"),
        (LOW, {"actions": {"a": {"move": {"sensor": "low"}}}}, "sensor follows pump"),
    ],
)
def test_a_mistake_is_told_in_one_sentence(
    switch: dict[str, Any], operation: dict[str, Any], words: str
) -> None:
    found = problems(switch, **operation)
    assert len(found) == 1 and words in found[0], found
