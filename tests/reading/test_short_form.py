"""The short form of a design, made by a helper, is the same design as the long form and has the same review."""

from __future__ import annotations

import json
from functools import partial
from pathlib import Path
from random import Random
from typing import Any

import jsonschema
import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.reading import Unreadable, read_text
from reviewer.reading.schema import design_schema
from reviewer.reading.yaml_events import load
from tests.counted_calls import calls_of
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic
from tests.shortening import shortened
from tests.shuffling import said
from tests.thinned import some_of

pytestmark = pytest.mark.long  # examples are read and reviewed in both forms

ROOT = Path(__file__).parents[2]
FILES = sorted((ROOT / "examples").glob("*.design.yaml")) + sorted(
    (ROOT / "tests" / "aircraft").glob("*.design.yaml")
)


def data_of(path: Path) -> dict[str, Any]:
    return load(path.read_bytes(), path.name)[0]


def forms(data: dict[str, Any]) -> list[str]:
    """A short form as JSON, and as YAML with folded lines."""
    plain = json.loads(json.dumps(data))
    return [json.dumps(plain), yaml.safe_dump(plain, sort_keys=False, width=70, allow_unicode=True)]


def told(text: str) -> set[str]:
    with pytest.raises(Unreadable) as caught:
        read_text(text, "x")
    return {
        p.message.partition(": ")[2] or p.message for p in caught.value.problems
    }  # of a wire, or of its circuit


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
@pytest.mark.parametrize(("seed", "most"), [(1, 1.0), (2, 0.5), (3, 1.0)])
def test_a_file_is_the_same_design_in_the_short_form(path: Path, seed: int, most: float) -> None:
    data = data_of(path)
    short = shortened(data, Random(seed), most)
    assert len(short["circuits"]) >= 2 and len(short["wires"]) < len(data["wires"])
    long = json.dumps(data)
    try:
        design = read_text(long, "x")
    except Unreadable:  # drawn before the words for it were built
        assert all(told(text) == told(long) for text in forms(short))
        return
    for text in forms(short):
        assert read_text(text, "x") == design


@pytest.mark.parametrize("name", some_of(["first", "sketch", "tourer"], ["first", "sketch"]))
def test_the_short_form_has_the_same_review(name: str) -> None:
    data = data_of(ROOT / "examples" / f"{name}.design.yaml")
    assert said(shortened(data, Random(name))) == said(data)


@pytest.mark.parametrize("seed", range(6))
def test_generated_designs_are_the_same_in_the_short_form(seed: int) -> None:
    made: dict[str, Any] = {}
    design = (
        awkward(seed, dress=made.update) if seed % 2 else realistic(100 + 40 * seed, seed, dress=made.update)
    )
    for text in forms(shortened(made, Random(seed))):
        assert read_text(text, "x") == design
        assert Facts(read_text(text, "x")).network == Facts(design).network


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.name)
def test_the_schema_accepts_short_forms(path: Path) -> None:
    validator = jsonschema.Draft202012Validator(design_schema())
    data = data_of(path)
    errors = {e.message for e in validator.iter_errors(data)}
    short = json.loads(json.dumps(shortened(data, Random(4))))
    assert {e.message for e in validator.iter_errors(short)} <= errors


def test_the_schema_refuses_what_is_no_path() -> None:
    validator = jsonschema.Draft202012Validator(design_schema())
    base = {
        "format": 1,
        "aircraft": {"name": "x", "nominal": "14 V", "airframe": "metal", "stage": "concept"},
    }
    assert list(validator.iter_errors(base))
    assert not list(
        validator.iter_errors({**base, "circuits": {"a": "b > c"}, "wire-numbers": "circuit-wire"})
    )
    for path in ("b", "> b", "b >", 5, None, ["b > c"]):
        assert list(validator.iter_errors({**base, "circuits": {"a": path}}))
    for scheme in ("", "colour", "circuitwire", "circuit-wire-"):
        assert list(validator.iter_errors({**base, "circuits": {"a": "b > c"}, "wire-numbers": scheme}))


def test_reading_two_thousand_wires_as_paths_takes_few_calls() -> None:
    made: dict[str, Any] = {}
    realistic(1400, 5, dress=made.update)
    short = json.loads(json.dumps(shortened(made, Random(5))))
    assert len(made["wires"]) > 1500
    calls = []
    for data in (short, made):
        text = json.dumps(data)
        read_text(text, "x")  # what is kept from one file to the next
        calls.append(calls_of(partial(read_text, text, "x")))
    assert calls[0] < 10 * calls[1], calls  # no work that grows with the square of the wires


@pytest.mark.long
def test_the_tourer_in_the_short_form_has_the_same_review() -> None:
    short, long = (data_of(ROOT / "examples" / f"{name}tourer.design.yaml") for name in ("short-form/", ""))
    assert said(short) == said(long)


def test_the_tourer_in_the_short_form_is_the_same_aircraft() -> None:
    short, long = (data_of(ROOT / "examples" / f"{name}tourer.design.yaml") for name in ("short-form/", ""))
    one, other = (
        read_text((ROOT / "examples" / f"{name}tourer.design.yaml").read_bytes(), "x")
        for name in ("short-form/", "")
    )
    assert one.parts == other.parts and (one.functions, one.operation, one.watch) == (
        other.functions,
        other.operation,
        other.watch,
    )

    def run(wire: Any) -> tuple[Any, ...]:
        """A wire without its name and without the tabs of bars and blocks."""
        ends = tuple(
            e.partition(".")[0] if one.parts[e.partition(".")[0]].open_ended else e
            for e in (wire.from_, wire.to)
        )
        return (*ends, *(value for key, value in wire if key not in ("from_", "to")))

    assert sorted(map(repr, map(run, one.wires.values()))) == sorted(
        map(repr, map(run, other.wires.values()))
    )
    assert not long.get("circuits") and len(short["circuits"]) > 80 and "wires" not in short
    validator = jsonschema.Draft202012Validator(design_schema())
    assert [e.message for e in validator.iter_errors(json.loads(json.dumps(short)))] == []
