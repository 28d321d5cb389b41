"""One file reviewed, with its part of the report."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reviewer.cli.output import Progress, rules_print_aside

if TYPE_CHECKING:
    from typing import TypeAlias

    from reviewer.model.review import Review
    from reviewer.reading import Unreadable
    from reviewer.rulebook.rule import Rule

    #: a review with its part of the report, or what is wrong with the file
    Reviewed: TypeAlias = tuple[Review | Unreadable, str]


def reviewed(
    path: Path, name: str, rules: Sequence[Rule], trials: bool, form: str, progress: Progress | None = None
) -> Reviewed:
    """The review of a file, which reports call ``name``, with its part of a report; or what is wrong
    with the file."""
    from reviewer.reading import Unreadable
    from reviewer.session import review_file

    step, announce = (progress.of(path), progress.announce(path)) if progress else (None, None)
    try:
        with rules_print_aside():
            review = review_file(path, rules, step, announce, trials)
    except Unreadable as error:
        return error, ""
    named = replace(review, file=name)
    return named, part_of(form, named)


def part_of(form: str, review: Review) -> str:
    """What a report in JSON or SARIF says of one review: the most of its work."""
    if form == "json":
        from reviewer.reports.review.json import json_lines

        return json_lines(review)
    if form == "sarif":
        from reviewer.reports.review.sarif import sarif_lines

        return sarif_lines(review)
    return ""
