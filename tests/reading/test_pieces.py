"""Pieces of the model: their examples are right, and what may be meant is taken."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from reviewer.model.design import (
    Action,
    Aircraft,
    Check,
    CommonWire,
    Concession,
    Exclusion,
    Function,
    Monitor,
    Operation,
    Phase,
    State,
    Watch,
    Zone,
)
from reviewer.model.fields import Piece, key_of
from reviewer.model.parts import PART_KINDS, BreakContact, ChangeoverContact, MakeContact, SignalInput, Wire
from reviewer.reading import Unreadable, read_text
from reviewer.reading.problem import flow
from reviewer.reading.yaml_events import load

GOOD = (Path(__file__).parents[1] / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
PIECES: list[type[Piece]] = [
    *PART_KINDS.values(), Wire, MakeContact, BreakContact, ChangeoverContact, SignalInput, CommonWire, Zone,
    Aircraft, Function, State, Phase, Action, Exclusion, Operation, Monitor, Check, Watch, Concession,
]  # fmt: skip


def examples(piece: type[Piece]) -> dict[str, list[Any]]:
    return {key_of(name): field.examples or [] for name, field in piece.model_fields.items()}


@pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.__name__)
def test_every_example_is_right(piece: type[Piece]) -> None:
    words = examples(piece)
    for number in range(max(map(len, words.values()))):
        piece.model_validate({key: entries[min(number, len(entries) - 1)] for key, entries in words.items()})


@pytest.mark.parametrize("piece", PIECES, ids=lambda p: p.__name__)
def test_every_example_is_read_as_it_is_shown(piece: type[Piece]) -> None:
    for key, entries in examples(piece).items():
        for entry in entries:
            assert load(f"{{{key}: {flow(entry)}}}", "x")[0] == {key: entry}


def test_what_can_be_meant_is_taken_and_what_was_given_is_known() -> None:
    stud = read_text(
        GOOD.replace("\nwires:", '\n  a-stud: {kind: stud, locked: "yes"}\n\nwires:', 1), "x"
    ).parts["a-stud"]
    assert stud.locked is True and stud.model_fields_set == {"kind", "locked"} and stud.zone is None


def test_pieces_are_equal_and_one_in_a_set_where_a_default_is_written_out() -> None:
    short = Wire.model_validate({"from": "a.b", "to": "c.d"})
    whole = Wire.model_validate({"from": "a.b", "to": "c.d", "gauge": None, "through": []})
    assert short == whole and len({short, whole}) == 1


def test_a_wire_has_what_all_wires_have_in_common_where_it_does_not_say_otherwise() -> None:
    text = GOOD.replace(
        "stage: detailed}", "stage: detailed, wire: {insulation: 105 C, conductor: aluminium}}", 1
    )
    text = text.replace("length: 0.4 m}\n  W2", "length: 0.4 m, insulation: 200 C}\n  W2", 1)
    wires = read_text(text, "x").wires
    assert (wires["W1"].insulation, wires["W1"].conductor) == (200.0, "aluminium")
    assert (wires["W2"].insulation, wires["W2"].conductor) == (105.0, "aluminium")


def test_states_that_go_round_in_a_circle_are_told_of_and_a_state_beside_them_ends() -> None:
    states = "    one: {like: two}\n    two: {like: one}\n    beside: {like: one}\n"
    with pytest.raises(Unreadable) as caught:
        read_text(GOOD.replace("  states:\n", f"  states:\n{states}", 1), "x")
    assert [p.message for p in caught.value.problems] == [
        "state one is `like` itself: one -> two -> one",
        "state two is `like` itself: two -> one -> two",
    ]


@pytest.mark.parametrize(
    ("key", "said"),
    [
        ("form", ["charger extra has no key `form` (did you mean `from`?)"]),
        ("sunny", ["charger extra: `from` is missing", "charger extra has no key `sunny`"]),
    ],
)
def test_a_misspelt_key_that_must_be_there_is_one_mistake(key: str, said: list[str]) -> None:
    """One that is not near it is two: nothing says that it was meant."""
    with pytest.raises(Unreadable) as refused:
        read_text(GOOD.replace("\nwires:", f"\n  extra: {{kind: charger, {key}: solar}}\n\nwires:", 1), "x")
    found = sorted(problem.message for problem in refused.value.problems)
    assert len(found) == len(said)
    assert all(message.startswith(start) for message, start in zip(found, sorted(said), strict=True))
