"""What is read without pydantic is what pydantic reads: an independent answer to every piece of the model."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from reviewer.model.design import Action, Aircraft, Check, Concession, Exclusion, Function, Monitor, Operation, Phase, State, Watch
from reviewer.model.parts import PART_KINDS, BreakContact, ChangeoverContact, MakeContact, SignalInput, Wire
from reviewer.model.piece import Piece, key_of
from reviewer.reading import read_text
from reviewer.reading.plain import reader

ROOT = Path(__file__).parents[2]
PIECES: list[type[Piece]] = [
    *PART_KINDS.values(), Wire, MakeContact, BreakContact, ChangeoverContact, SignalInput,
    Aircraft, Function, State, Phase, Action, Exclusion, Operation, Monitor, Check, Watch, Concession,
]  # fmt: skip
ADAPTERS: dict[Any, TypeAdapter[Any]] = {piece: TypeAdapter(piece) for piece in PIECES}


def examples(piece: type[Piece]) -> dict[str, list[Any]]:
    return {key_of(one.name): one.metadata["examples"] for one in fields(piece)}


@pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.__name__)
def test_every_example_is_plainly_right_and_pydantic_agrees(piece: type[Piece]) -> None:
    words = examples(piece)
    for number in range(max(map(len, words.values()))):
        data = {key: entries[min(number, len(entries) - 1)] for key, entries in words.items()}
        assert repr(reader(piece)(data)) == repr(ADAPTERS[piece].validate_python(data))


# what is near a bound, and what pydantic would turn into something else
AWKWARD: list[Any] = [
    None, True, 0, 1, -1, 2**70, 1.0, 2.5, "", "a", "a" * 200, "a" * 201, "a" * 401, "a" * 402, "a" * 2000, "a" * 2001, "a.b", "a.b\n", "\n.\n", ".b",
     "a.", "a.b.c", "none", "None", "yes", "on", "1", "5 A", "5 A\n", " 5  mA ", "0 A", "-0 A", "0 V", "-5 A", "1e400 A", "5 V", "5", "٥ A", "18 AWG",
     "2/0 awg", "1.5 mm2", "0 mm2", "-300 C", "-273.15 C", "2026-04-18", "2026-04-31", "20260418", "2026-W16-6", "2026-04-18T00:00:00", "2026-04-18\n",
     "２０２６-04-18", "\ud800", "é", "é" * 200, "é" * 201, b"a", (), ("a", "b"), [], ["a"], ["a", "b"], ["a", "a", "a"], [["a", "b"]], {}, {"a": "b"},
     {"": "b"}, {1: "b"}, {"a": []}, {"a": [["b", "c"]]}, {"a" * 201: "5 A"}, {"a": {"kind": "make", "joins": ["a", "b"]}},
     {"a": {"kind": "break", "joins": ["a"]}}, {"a": {"kind": "bus"}}, {"a": {"kind": ["make"]}}, {"a": {"signal": "x", "return": None}}, True, object,
]  # fmt: skip


@pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.__name__)
def test_what_is_accepted_without_pydantic_is_what_pydantic_accepts(piece: type[Piece]) -> None:
    whole = {key: entries[0] for key, entries in examples(piece).items()}
    pieces = [{k: v for k, v in whole.items() if k != key} for key in whole] + [{**whole, "unknown": "a"}, whole | {"kind": "bus"}]
    pieces += [{**whole, key: value} for key in whole for value in AWKWARD]
    accepted = 0
    for value in pieces:
        try:
            plain = reader(piece)(value)
        except ValueError:
            continue  # pydantic decides
        accepted += 1
        try:
            assert repr(plain) == repr(ADAPTERS[piece].validate_python(value)), value
        except ValidationError as error:
            raise AssertionError(f"{value} is no {piece.__name__}") from error
    assert 0 < accepted < len(pieces)


def test_what_is_not_plain_but_can_be_meant_is_taken_as_pydantic_takes_it() -> None:
    good = (ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
    design = read_text(good.replace("\nwires:", '\n  a-stud: {kind: stud, locked: "yes"}\n\nwires:', 1), "x")
    stud = design.parts["a-stud"]
    assert stud.locked is True and stud.given("locked") and not stud.given("zone") and stud.zone is None


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*.design.yaml")), ids=lambda p: p.name)
def test_a_file_without_mistakes_is_read_without_pydantic(path: Path) -> None:
    code = (
        "import sys, pathlib; from reviewer.session import review_file; review_file(pathlib.Path(sys.argv[1])); assert 'pydantic' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code, str(path)], check=True, cwd=ROOT)
