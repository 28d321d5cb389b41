"""A rule that waits for a state says so on the first screen, with text to paste; what no state is missing of asks for none."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.reports.review.first_screen import first_screen
from reviewer.reports.review.questions_text import missing_text
from reviewer.rulebook.missing_data import STATES
from reviewer.rulebook.next_questions import next_questions
from reviewer.session import review_facts

ROOT = Path(__file__).parent.parent
FIRST = (ROOT / "examples" / "first.design.yaml").read_text(encoding="utf-8")
WITH_BUS = (
    ("W1: {from: battery.positive, to: fuse.line}", "W0: {from: battery.positive, to: main-bus.feed}\n  W1: {from: main-bus.fuse, to: fuse.line}"),
    ("parts:\n", "parts:\n  main-bus: {kind: bus}\n"),
)  # fmt: skip
WITH_MASTER = (
    (WITH_BUS[0][0], WITH_BUS[0][1].replace("W0: {from: battery.positive, to: main-bus.feed}", "W0: {from: battery.positive, to: master.line}\n  W9: {from: master.load, to: main-bus.feed}")),
    ("parts:\n", "parts:\n  main-bus: {kind: bus}\n  master: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}\n"),
)  # fmt: skip
PARKED = ("cruise: {engine: running}", "cruise: {engine: running}, parked: {use: ground, engine: stopped}")
DEAD = ("engine: stopped}", "engine: stopped, dead: [main-bus]}")


@pytest.mark.parametrize(
    ("edits", "asked"),
    [
        ((), ["a parked state"]),
        ((PARKED,), []),
        (WITH_BUS, ["a parked state"]),  # no switch takes it off
        (WITH_MASTER, ["`dead` in a state", "a parked state"]),
        ((*WITH_BUS, PARKED, DEAD), []),
    ],
    ids=["no bus", "parked", "a bus", "a bus behind a master", "all there"],
)
def test_the_state_that_a_rule_waits_for_is_asked_for(
    edits: tuple[tuple[str, str], ...], asked: list[str]
) -> None:
    text = FIRST
    for old, new in edits:
        assert old in text
        text = text.replace(old, new, 1)
    facts = Facts(read_text(text, "first.design.yaml"))
    review = review_facts(facts, Path("first.design.yaml"))
    questions = [q for q in review.questions if q.kind == STATES]
    assert [q.keys[0].partition(":")[0] for q in questions] == asked
    screen = "\n".join(first_screen(review))
    pasted = "\n".join(missing_text(review, 100))
    for question in questions:
        assert f"rules: {question.keys[0]}" in screen and question.snippet.split("\n")[2].strip() in pasted
        assert question.snippet.startswith("operation:\n  states:\n    # ")
    assert ("rules: a parked state" in screen) is ("a parked state" in asked)
    found = next_questions(review.gaps, facts.design, text.split("\n"))
    assert [q.key for q in found if q.kind == STATES] == [q.keys[0] for q in questions]
