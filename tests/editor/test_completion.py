"""What is offered where one is writing, in whole texts and in texts that end in the middle."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from reviewer import resources
from reviewer.editor.completions import completions
from reviewer.editor.cursor import cursor_at
from reviewer.model.parts import PART_KINDS
from reviewer.reading import read_design

ROOT = Path(__file__).parents[2]
DESIGN = read_design(ROOT / "examples" / "tourer.design.yaml")
SCHEMA = json.loads(resources.design_schema())
HEAD = "format: 1\naircraft: {name: x}\n"


def offered(text: str) -> list[str]:
    """What is offered at the mark ``|``."""
    before = text[: text.index("|")]
    cursor = cursor_at(text.replace("|", "", 1), before.count("\n"), len(before) - before.rfind("\n") - 1)
    if cursor is None:
        return []
    return [one.text for one in completions(cursor, SCHEMA, DESIGN, text.startswith("{"))]


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        pytest.param("oper|\nwires: {}\n", ["operation: "], id="a section"),
        pytest.param("parts:\n  b: {kind: bat|\n", ["battery"], id="a kind, in braces that are open"),
        pytest.param("parts:\n  b:\n    kind: battery\n    capacity-r|\n", ["capacity-rate: "], id="a key"),
        pytest.param("parts:\n  b:\n    kind: breaker\n    rating: 5|\n", ["5 A", "5 mA"], id="a unit at its number"),
        pytest.param("parts:\n  b:\n    kind: breaker\n    rating: 5 |\n", ["A", "mA"], id="a unit"),
        pytest.param("parts:\n  b:\n    kind: breaker\n    accessible: |\n", ["in-flight", "on-ground"], id="a word"),
        pytest.param("wires:\n  W: {from: main-bu|, to: c.d}\n", ["main-bus"], id="a part"),
        pytest.param("wires:\n  W: {from: radio-1.audio|\n", ["radio-1.audio-high", "radio-1.audio-low"], id="a terminal"),
        pytest.param("operation:\n  normal: cru|\n", ["cruise"], id="a state"),
        pytest.param("operation:\n  states:\n    x: {switches: {avionics-sw|\n", ["avionics-switch: "], id="a switch"),
        pytest.param("operation:\n  states:\n    x: {switches: {avionics-switch: |}}\n", ["down", "up"], id="a position"),
        pytest.param("functions:\n  engine: {of: [ignition-a, ignition-b|]}\n", ["ignition-b-breaker", "ignition-b-switch", "ignition-b-plug", "ignition-b"], id="an item of a list"),
        pytest.param("circuits:\n  n: main-bus > 20 AWG > breaker 5 A (trip-|\n", ["trip-free"], id="in brackets of a path"),
        pytest.param("circuits:\n  n: main-bus > 20 AWG >\n     radio-1.audio-h|\n", ["radio-1.audio-high"], id="on a second line of a path"),
        pytest.param("# parts: |\n", [], id="a comment"),
    ],
)  # fmt: skip
def test_what_may_stand_there_is_offered(text: str, wanted: list[str]) -> None:
    assert offered(HEAD + text) == wanted


def test_in_json_keys_come_without_colon() -> None:
    assert offered('{"format": 1, "parts": {"b": {"kind": "bat|"}}}') == ["battery"]
    assert "capacity" in offered('{"format": 1, "parts": {"b": {"kind": "battery", "cap|"')


@pytest.mark.parametrize("kind", PART_KINDS)
def test_every_key_of_a_kind_is_offered_and_no_other(kind: str) -> None:
    found = {text.removesuffix(": ") for text in offered(f"{HEAD}parts:\n  x:\n    kind: {kind}\n    |\n")}
    assert found == set(SCHEMA["$defs"][f"part-{kind}"]["properties"]) - {"kind"}


def test_a_key_that_is_there_is_not_offered_again() -> None:
    assert "rating: " not in offered(f"{HEAD}parts:\n  x: {{kind: breaker, rating: 5 A, |}}\n")
    assert "rating: " in offered(f"{HEAD}parts:\n  x: {{kind: breaker, |}}\n")
