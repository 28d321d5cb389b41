"""A rule that waits for a state says so on the first screen, with text to paste; what no state is missing of asks for none."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import HazardClass
from reviewer.reading import read_text
from reviewer.reports.review.first_screen import first_screen
from reviewer.reports.review.questions_text import missing_text
from reviewer.rulebook.missing_data import STATES, asked_of
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
        state, _, rest = question.keys[0].removesuffix(".").partition(": ")
        assert f"    add {state} (" in screen and rest[:30] in " ".join(screen.split())
        assert question.snippet.split("\n")[2].strip() in pasted
        assert question.snippet.startswith("operation:\n  states:\n    # ")
    assert ("add a parked state" in screen) is ("a parked state" in asked)
    found = next_questions(review.gaps, facts.design, text.split("\n"))
    assert [q.key for q in found if q.kind == STATES] == [q.keys[0] for q in questions]


def test_what_the_operation_lacks_is_asked_of_it_and_not_of_a_part_that_may_have_the_same_key() -> None:
    """A battery in reserve has an `endurance` too; only that of the operation answers for a main battery."""
    drawn = FIRST.replace("battery: {kind: battery}", "battery: {kind: battery}\n  left: {kind: magneto}")
    drawn = drawn.replace("left: {kind: magneto}", "left: {kind: magneto}\n  right: {kind: magneto}")
    drawn = drawn.replace("fuse: {kind: fuse", "alternator: {kind: alternator}\n  fuse: {kind: fuse")
    drawn = drawn.replace(
        "wires:\n",
        "wires:\n  A1: {from: alternator.output, to: fuse.line}\n  A2: {from: alternator.ground, to: "
        "battery.negative}\n  A3: {from: alternator.field, to: fuse.load}\n",
    )
    facts = Facts(read_text(drawn, "first.design.yaml"))
    review = review_facts(facts, Path("first.design.yaml"))
    asked = [(q.kind, item) for q in review.questions for item in q.items if "endurance" in q.keys]
    assert asked == [("operation", "operation")]
    silent = [q for q in review.questions if q.kind == STATES and "`silent`" in q.keys[0]]
    assert len(silent) == 1


@pytest.mark.parametrize(
    ("needs", "asked"),
    [
        ("`endurance` of the operation: the time required", [("operation", "endurance", "operation")]),
        ("`endurance` of battery", [("battery", "endurance", "parts/battery")]),
    ],
)
def test_a_key_of_the_operation_is_not_one_of_the_subject(
    needs: str, asked: list[tuple[str, str, str]]
) -> None:
    gap = SimpleNamespace(needs=needs, lacks=(), subject="parts/battery", hazard=HazardClass.MAJOR)
    design = Facts(read_text(FIRST, "first.design.yaml")).design
    assert list(asked_of(gap, design)) == asked  # type: ignore[arg-type]
