"""A review of one version of a text, in a process of its own that a newer version ends.

The process answers for its version until it is ended: it keeps the facts of that text and no other.
"""

from __future__ import annotations

import contextlib
import gc
import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

from reviewer.model.review import HazardClass, Place, rule_errors
from reviewer.reports.wording import rule_error_words
from reviewer.rulebook.missing_data import STATES
from reviewer.rulebook.next_questions import OPEN, next_questions

#: questions that are marked in a text, those that decide the most
MARKED = 10
#: items of a question that are marked
_ITEMS = 20


@dataclass(frozen=True)
class Repair:
    """Text that puts something right: ``text`` goes in at ``spot``, line and column from 1."""

    title: str
    spot: tuple[int, int]
    text: str


@dataclass(frozen=True)
class Mark:
    """What is said of a place of the text: line and column from 1, in characters.

    ``weight`` is a word of a hazard class, ``mistake``, ``rule error``, ``not assessed`` or
    ``concession``; ``more`` is what an editor shows beside the sentence; ``accept`` are subject, state
    and extent, which a concession of a finding names; ``table`` the file beside the design in which the
    place is.
    """

    line: int
    column: int
    weight: str
    sentence: str
    rule: str = ""
    more: str = ""
    accept: tuple[str, str, str] | None = None
    repairs: tuple[Repair, ...] = ()
    table: str = ""


@dataclass(frozen=True)
class Answered:
    """What a process has found: ``marks`` of its text, or the ``failed`` of the reviewer itself."""

    marks: tuple[Mark, ...]
    #: the text of each rule that found something
    pages: dict[str, str] = field(default_factory=dict)
    failed: str = ""


def work(connection: Connection, path: str, content: bytes, rules_from: Sequence[str]) -> None:
    """Review a text that can be read, send an :class:`Answered`, then answer about parts until the
    other end closes.

    A question is the name of a part or wire; the answer is text, empty where there is none.
    """
    gc.disable()  # as in a command: it is short and ends
    _away_from_the_streams()
    try:
        facts, answered = _reviewed(Path(path), content, rules_from)
        connection.send(answered)
    except Exception as error:  # whatever it is, the editor must be answered
        with contextlib.suppress(OSError):
            connection.send(Answered((), {}, f"{type(error).__name__}: {error}"))
        return
    with contextlib.suppress(EOFError, OSError, KeyboardInterrupt):
        while True:
            name = connection.recv()
            connection.send(_about(facts, name))


def _away_from_the_streams() -> None:
    """What a rule prints, or reads, must not meet the protocol."""
    nothing = os.open(os.devnull, os.O_RDWR)
    os.dup2(nothing, 0)
    os.dup2(nothing, 1)
    sys.stdout = sys.stderr


def _about(facts: Any, name: str) -> str:
    from reviewer.analysis.not_assessable import NotAssessable
    from reviewer.editor.part_words import part_words
    from reviewer.questions.naming import NoAnswer

    try:
        return part_words(facts, name)
    except (NoAnswer, NotAssessable):
        return ""


def _reviewed(path: Path, content: bytes, rules_from: Sequence[str]) -> tuple[Any, Answered]:
    from reviewer.analysis.facts import Facts
    from reviewer.editor import ready
    from reviewer.reading import design_of
    from reviewer.reading.design_file import DesignFile
    from reviewer.rulebook.runner import run_rules

    file = DesignFile(path, content)
    facts = Facts(design_of(file))
    assessments, unmatched = run_rules(ready.rules_with(rules_from), facts)
    pages = {one.rule: one.help for one in assessments if one.findings}
    return facts, Answered(marks_of(facts, assessments, unmatched, file.lines), pages)


def marks_of(facts: Any, assessments: Sequence[Any], unmatched: Sequence[Any], lines: Sequence[str]) -> Any:
    """What a review says of the places of a text, in their order."""
    found: list[Mark] = []

    def add(place: Place | None, weight: str, sentence: str, **more: Any) -> None:
        at = place or Place(1, 1)
        table = at.cell.table if at.cell else ""
        found.append(Mark(at.line, at.column, weight, sentence, table=table, **more))

    for assessment in assessments:
        for error in rule_errors(assessment.breakdowns):
            add(None, "rule error", rule_error_words(error), rule=error.rule)
        for finding in assessment.findings:
            if not finding.conceded:
                add(
                    finding.place,
                    finding.hazard.word,
                    finding.sentence,
                    rule=finding.rule,
                    more=_finding_words(finding),
                    accept=(finding.subject, finding.state, finding.extent),
                )
    for concession in unmatched:
        add(None, "concession", f"{concession.rule}, {concession.subject}: it matches no finding.")
    gaps = [gap for assessment in assessments for gap in assessment.gaps]
    for place, sentence, repairs in _asked(gaps, facts.as_written, lines):
        add(place, "not assessed", sentence, repairs=repairs)
    return tuple(sorted(found, key=lambda m: (m.table, m.line, m.column, m.weight, m.sentence)))


def _finding_words(finding: Any) -> str:
    numbers = "".join(f"\n- {what}: {value}" for what, value in finding.numbers)
    path = " -> ".join(step.part for step in finding.path)
    state = f"\n\nState: {finding.state}." if finding.state else ""
    sources = "".join(f"\n- {c.title}; {c.clause}" for c in finding.citations)
    return (
        f"To put it right: {finding.remedy}{state}"
        + (f"\n\nPath: {path}." if path else "")
        + (f"\n{numbers}" if numbers else "")
        + (f"\n\nReferences:{sources}" if sources else "")
    )


def _asked(gaps: Sequence[Any], design: Any, lines: Sequence[str]) -> Any:
    """Of the questions that decide the most: the place of each item, what it lacks, and its text."""
    for question in next_questions(gaps, design, lines)[:MARKED]:
        waiting = f"{len(question.rules)} rule{'s' if question.rules[1:] else ''}"
        worst = HazardClass(question.hazard).word
        for paste in question.pastes[:_ITEMS]:
            of = paste.item.partition("/")[2].replace("/", ", ") or paste.item
            what = f"`{question.key}` of {of}" if of else f"the section `{question.key}`"
            what = question.key if question.kind == STATES else what
            sentence = (
                f"{what[:1].upper()}{what[1:]} is missing; not assessed for it: {waiting}, the worst {worst}."
            )
            spot = design.places.get(paste.item) or design.places.get(paste.item.partition("/")[0])
            if paste.spot is None:
                yield Place.of(spot) if spot else None, f"{sentence} Its place: {paste.place}.", ()
                continue
            yield Place.of(spot) if spot else None, sentence, (_repair(paste, what),)


def _repair(paste: Any, what: str) -> Repair:
    """The text of a question with its value left open, as it is put in."""
    text = "\n".join(line.replace(OPEN, "") for line in paste.lines)
    if paste.spot[1] == 1:
        return Repair(f"Write {what}", paste.spot, f"{text}\n")
    return Repair(f"Write {what}", paste.spot, text.removeprefix(", ") + (", " if text[:1] == "," else ""))
