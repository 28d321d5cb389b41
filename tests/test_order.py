"""The order of a file says nothing: a review says the same of every shuffle, and of names that sort alike."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest
import yaml
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from reviewer.analysis.facts import Facts
from reviewer.cli.question_commands import effects
from reviewer.model.canonical_order import in_canonical_order, name_order
from reviewer.model.review import Review
from reviewer.questions.compare import compare
from reviewer.reading import read_text
from tests.oracle.generator import realistic
from tests.oracle.sound import sound_data
from tests.renaming import names_in, with_names
from tests.shuffling import Said, review_of, said, said_in, shuffled
from tests.thinned import some_of

LOW_VOLTS = Path(__file__).with_name("aircraft") / "glider-two-batteries.design.yaml"
ROOT = Path(__file__).parent.parent
EXAMPLES = {p.name.partition(".")[0]: p for p in sorted((ROOT / "examples").glob("*.design.yaml"))}


@cache
def data_of(example: str) -> dict[str, Any]:
    data: dict[str, Any] = yaml.load(EXAMPLES[example].read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)
    return typed(data)


def typed(value: Any) -> Any:
    """Numbers and truth as the reader takes them, words such as ``on`` and dates as they are written."""
    if isinstance(value, dict):
        return {k: typed(v) for k, v in value.items()}
    if isinstance(value, list):
        return [typed(v) for v in value]
    if value in ("true", "false") or (isinstance(value, str) and value.isdecimal()):
        return json.loads(value)
    return value


@cache
def review_of_example(example: str, seed: int | None = None) -> tuple[Facts, Review]:
    """Of an example, or of its shuffle."""
    return review_of(data_of(example) if seed is None else shuffled(data_of(example), Random(seed)))


@cache
def generated(seed: int) -> dict[str, Any]:
    """An aircraft of the generator, with many findings; not to be changed."""
    data: dict[str, Any] = {}
    realistic(80, seed, data.update)
    return data


@cache
def said_of_generated(seed: int) -> Said:
    return said(generated(seed))


def said_of_example(example: str, seed: int | None = None) -> Said:
    return said_in(review_of_example(example, seed)[1])


def same(one: Said, other: Said) -> None:
    for what in Said._fields:
        a, b = getattr(one, what), getattr(other, what)
        assert a == b, {k: (a.get(k), b.get(k)) for k in {*a, *b} if a.get(k) != b.get(k)}


@pytest.mark.parametrize(
    "example",
    [
        pytest.param(e, marks=pytest.mark.long) if e.endswith("tourer") else e
        for e in some_of([*EXAMPLES], EXAMPLES.keys() - {"faulted-tourer"})
    ],
)
def test_a_shuffled_example_is_reviewed_alike(example: str) -> None:
    same(said_of_example(example, 99), said_of_example(example))


@pytest.mark.long
@pytest.mark.parametrize("example", [e for e in EXAMPLES if not e.endswith("tourer")])
def test_many_shuffles_of_a_small_example_are_reviewed_alike(example: str) -> None:
    for seed in range(10):
        same(said(shuffled(data_of(example), Random(seed))), said_of_example(example))


@pytest.mark.parametrize("seed", [0, pytest.param(1, marks=pytest.mark.long)])
def test_a_shuffled_aircraft_with_many_findings_is_reviewed_alike(seed: int) -> None:
    usual = said_of_generated(seed)
    assert len(usual.findings) > 5 and len(usual.gaps) > 5
    same(said(shuffled(generated(seed), Random(seed))), usual)


@pytest.mark.long
@pytest.mark.parametrize("seed", [0, 1])
def test_a_shuffled_sound_aircraft_stays_sound(seed: int) -> None:
    found = said(shuffled(sound_data(220, seed), Random(seed)))
    assert not found.findings and not found.gaps and not found.errors


@pytest.mark.long
def test_a_file_compared_with_its_shuffle_differs_in_nothing() -> None:
    (old_facts, old), (new_facts, new) = (review_of_example("faulted-tourer", seed) for seed in (None, 99))
    found = compare(old, old_facts, new, new_facts)
    for side in (found.findings, found.gaps):
        assert side.unchanged and not (side.new or side.gone or side.changed)
    assert not found.parts and not found.worse and found.behaviour.same


@pytest.mark.parametrize(
    "example",
    ["first", "sketch", *(pytest.param(e, marks=pytest.mark.long) for e in ("tourer", "generated"))],
)
def test_names_that_sort_alike_are_reviewed_alike(example: str) -> None:
    """Other names throughout, in the order of the old ones, and these put back in what is said. A state
    that is made beside those of the file has a name of its own, and is left out. The generated aircraft
    has many findings."""
    data = dict(generated(1) if example == "generated" else data_of(example))
    data["operation"] = {k: v for k, v in data.get("operation", {}).items() if k != "standard-states"} or None
    data = {key: value for key, value in data.items() if value is not None}
    names = {name: f"Q{i:04}q" for i, name in enumerate(sorted(names_in(data), key=name_order))}
    assert len(names) > 10
    old = {new: name for name, new in names.items()}
    other = said(with_names(data, names))
    usual = said(data)
    assert "Q0" in repr(other) and "Q0" not in repr(usual)
    for found, expected in ((other.findings, usual.findings), (other.gaps, usual.gaps)):
        put_back = Counter({_put_back(repr(what), old): n for what, n in found.items()})
        assert put_back == Counter({repr(what): n for what, n in expected.items()})


def _put_back(words: str, old: dict[str, str]) -> str:
    return re.sub(r"Q\d{4}q", lambda found: old[found[0]], words)


@pytest.mark.long
def test_the_seed_of_hashes_changes_nothing() -> None:
    """A process with a seed that is told, and this one, whose seed is another in each run (all but one in
    four thousand million)."""
    code = "from tests.test_order import digest; print(digest())"
    environment = {**os.environ, "PYTHONHASHSEED": "1", "PYTHONPATH": str(ROOT)}
    run = [sys.executable, "-c", code]
    done = subprocess.run(run, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    assert len(digest()) > 60 and done.stdout.strip() == digest()


@cache
def digest() -> str:
    """A digest of what is said of every example, of an aircraft of the generator, and of the effects of one
    whose loads have too little volts."""
    told = [*map(said_of_example, EXAMPLES), said_of_generated(1)]
    assert sum(bool(one.findings) for one in told) >= 3
    words = repr([list(part.items()) for one in told for part in one])
    low = CliRunner().invoke(effects, [str(LOW_VOLTS), "--as", "csv"]).stdout
    assert "less than their minimum voltage" in low
    words += low
    return hashlib.sha256(words.encode()).hexdigest()


def test_what_matters_more_comes_first() -> None:
    design = in_canonical_order(read_text(json.dumps(SMALL), "design"))
    assert list(design.parts) == ["spare-battery", "aux-battery", "bus", "fuse", "radio", "cabin-light"]
    assert list(design.wires) == ["W1", "W2", "W10"]
    assert list(design.functions) == ["talk", "see"]
    assert design.operation and list(design.operation.states) == ["z-cruise", "climb", "b-smoke", "a-parked"]


SMALL = {
    "format": 1,
    "aircraft": {"name": "Glider", "nominal": "14 V", "airframe": "wood", "stage": "concept"},
    "parts": {
        "cabin-light": {"kind": "load"},
        "radio": {"kind": "load"},
        "fuse": {"kind": "fuse"},
        "bus": {"kind": "bus"},
        "aux-battery": {"kind": "battery", "purpose": "reserve"},
        "spare-battery": {"kind": "battery", "purpose": "main"},
    },
    "wires": {
        "W10": {"from": "bus.feed", "to": "fuse.load"},
        "W2": {"from": "fuse.line", "to": "spare-battery.positive"},
        "W1": {"from": "bus.radio", "to": "radio.supply"},
    },
    "functions": {
        "see": {"any": 1, "of": ["cabin-light"], "loss": "minor"},
        "talk": {"any": 1, "of": ["radio"], "loss": "major"},
    },
    "operation": {
        "normal": "z-cruise",
        "states": {
            "a-parked": {"use": "ground"},
            "b-smoke": {"use": "abnormal"},
            "climb": {"use": "flight"},
            "z-cruise": {"use": "flight"},
        },
    },
}


@given(st.lists(st.text(min_size=1, max_size=12), unique=True))
def test_names_have_one_order(names: list[str]) -> None:
    assert sorted(names, key=name_order) == sorted(reversed(names), key=name_order)
    assert len({name_order(name) for name in names}) == len(names)


def test_numbers_in_names_sort_by_value() -> None:
    names = ["W", "W1", "W01", "W1a", "W2", "W10", "bus-2", "bus-10", "10", "9", "٣"]
    assert sorted(names, key=name_order) == [
        "٣",
        "9",
        "10",
        "W",
        "W01",
        "W1",
        "W1a",
        "W2",
        "W10",
        "bus-2",
        "bus-10",
    ]
