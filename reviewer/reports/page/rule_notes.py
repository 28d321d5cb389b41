"""What the page tells of each rule that found something: why, and how it is judged."""

from __future__ import annotations

import re

from reviewer.model.record import record
from reviewer.model.review import Review

_HEADS = ("Why", "How judged", "Not covered")


@record
class RuleNotes:
    """A rule with the paragraphs of its page: (heading, text)."""

    name: str
    title: str
    paragraphs: tuple[tuple[str, str], ...]


def rule_notes(review: Review) -> list[RuleNotes]:
    """The rules with findings, in the order of the review."""
    return [RuleNotes(a.rule, a.title, tuple(_paragraphs(a.help))) for a in review.assessments if a.findings]


def _paragraphs(text: str) -> list[tuple[str, str]]:
    """The paragraphs of a docstring that begin with one of the headings."""
    found: list[tuple[str, str]] = []
    for paragraph in re.split(r"\n\s*\n", text):
        words = " ".join(paragraph.split())
        head, colon, rest = words.partition(":")
        if colon and head in _HEADS:
            found.append((head, rest.strip()))
        elif found and words:
            found[-1] = (found[-1][0], f"{found[-1][1]} {words}")
    return found
