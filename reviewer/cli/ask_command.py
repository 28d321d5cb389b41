"""The command ask. Arguments in, exit status out."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from reviewer import resources
from reviewer.cli.output import Progress, answer, rules_of, rules_print_aside, unreadable, with_rules_from
from reviewer.cli.question_commands import ANSWERED

if TYPE_CHECKING:
    from reviewer.model.review import Review
    from reviewer.rulebook.next_questions import NextQuestion

#: questions of a list that is not asked for whole
SHOWN = 10
#: what a person types instead of an answer
_NEXT, _STOP = "next", "stop"


@click.command(epilog=ANSWERED)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--all", "everything", is_flag=True, help=f"Every question; the first {SHOWN} if not given.")
@with_rules_from
def ask(file: Path, everything: bool, rules_from: tuple[Path, ...]) -> None:
    """Ask for the data that FILE lacks, the most decisive first.

    For each question: what it means, what may be written, the rules that wait for it, and the text
    to paste with its place. On a terminal one question at a time: an answer gives its text. Nothing
    is written to FILE.
    """
    from reviewer.reading import Unreadable
    from reviewer.reports.review.next_questions_text import next_questions_text
    from reviewer.session import questions_about

    progress = Progress()
    try:
        with rules_print_aside():
            review, questions = questions_about(
                file, rules_of(rules_from), progress.of(file), progress.announce(file)
            )
    except Unreadable as error:
        unreadable(error)
    finally:
        progress.end()
    schema = json.loads(resources.design_schema())
    if questions and not everything and _at_terminal():
        _one_at_a_time(review, questions, schema)
        return
    answer(next_questions_text(review, questions, schema, len(questions) if everything else SHOWN))


def _at_terminal() -> bool:
    """Whether a person reads what is printed and can answer."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))


def _one_at_a_time(review: Review, questions: Sequence[NextQuestion], schema: dict[str, Any]) -> None:
    """Put the questions to a person until there are no more or they stop."""
    from reviewer.reports.review.next_questions_text import question_text
    from reviewer.reports.wording import SHORT_CAUTION

    width = 100
    answer(
        f"{len(questions)} questions. Type an answer for its text. Enter leaves an item out, `{_NEXT}` the "
        f"question; `{_STOP}` ends.\n"
    )
    for number, question in enumerate(questions, 1):
        lines = question_text(question, number, len(questions), review, schema, width)
        answer("\n" + "\n".join(lines) + "\n")
        if not _put(question, width):
            break
    answer(f"\nNothing was written to {review.file}.\n{SHORT_CAUTION}\n")


def _put(question: NextQuestion, width: int) -> bool:
    """Ask for each item of a question; False where the person ends it."""
    from reviewer.reports.review.next_questions_text import name_of, paste_text

    for paste in question.pastes:
        while True:
            named = name_of(paste.item) if paste.item else ""
            typed = _typed(f"    {question.key} of {named}: " if named else "    Enter for its text: ")
            if typed is None or typed == _STOP:
                return False
            if typed == _NEXT:
                return True
            problem = _problem(question, typed) if typed and question.model else ""
            if not problem:
                break
            answer(f"      {problem}\n")
        if typed or not question.model:
            answer("\n".join(paste_text([paste], typed, width)) + "\n")
    return True


def _problem(question: NextQuestion, typed: str) -> str:
    """What is wrong with an answer, as the reader of a file would say it; "" where nothing is."""
    from pydantic import ValidationError

    from reviewer.reading import Unreadable
    from reviewer.reading.explain import explained
    from reviewer.reading.yaml_events import load

    try:
        value = load(f"{question.key}: {typed}\n", "")[0]
        question.model.model_validate(value)
    except Unreadable as error:
        return error.problems[0].message
    except ValidationError as error:
        mistakes = explained(error, question.model, value, "", question.kind, lambda _: False)
        return next((m.message for m in mistakes if m.path[:1] == (question.key,) and not m.key), "")
    return ""


def _typed(prompt: str) -> str | None:
    """A line from the person; None at the end of what they type."""
    answer(prompt)
    line = sys.stdin.readline()
    return line.strip() if line else None
