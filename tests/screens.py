"""The first screens of some reviews, made as the command makes them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from reviewer.analysis.facts import Facts
from reviewer.model.review import Review
from reviewer.reports.review.text import screen_of, screens_of
from reviewer.session import facts_of, reviewed_facts


def as_screens(reviews: Sequence[Review], width: int = 100) -> str:
    """The screen of each review, and of several the line at the end."""
    return screens_of([(review, screen_of(review, width)) for review in reviews], width)


def reviewed_file(path: Path) -> tuple[Facts, Review]:
    """The facts of a design file and its review by all rules, estimates taken as written."""
    return reviewed_facts(facts_of(path), path)
