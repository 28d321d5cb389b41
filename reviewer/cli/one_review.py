"""One file reviewed, with its part of the report."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reviewer.cli.output import Progress, rules_print_aside

if TYPE_CHECKING:
    from typing import TypeAlias

    from reviewer.model.review import Review
    from reviewer.reading import Unreadable
    from reviewer.rulebook.rule import Rule

    #: what is wrong with a file; or by each of its names the review with its part of the report
    Reviewed: TypeAlias = Unreadable | Mapping[str, tuple[Review, str]]


def reviewed(
    path: Path,
    names: Sequence[str],
    rules: Sequence[Rule],
    trials: bool,
    form: str,
    progress: Progress | None = None,
) -> Reviewed:
    """The review of a file, which reports call by each of ``names``, with its part of a report; or what
    is wrong with the file.

    ``form`` is that of the report. Where ``screen``, ``lines`` or ``json`` is asked for, the part is the
    most of its work and all that the report says of the file: of the review only what exit status and
    summary ask for stays, as it may go from one process to another.
    """
    from reviewer.reading import Unreadable
    from reviewer.session import review_file

    step, announce = (progress.of(path), progress.announce(path)) if progress else (None, None)
    try:
        with rules_print_aside():
            review = review_file(path, rules, step, announce, trials)
    except Unreadable as error:
        return error
    named = [replace(review, file=name) for name in names]
    return {own.file: (_still_asked(form, own), _part_of(form, own)) for own in named}


def _part_of(form: str, review: Review) -> str:
    if form == "screen":
        from reviewer.reports.review.text import screen_of

        return screen_of(review)
    if form == "lines":
        from reviewer.reports.review.problem_lines import as_lines

        return as_lines([review])
    if form == "json":
        from reviewer.reports.review.json import json_lines

        return json_lines(review)
    if form == "sarif":
        from reviewer.reports.review.sarif import sarif_lines

        return sarif_lines(review)
    return ""


def _still_asked(form: str, review: Review) -> Review:
    if form not in ("screen", "lines", "json"):
        return review
    said = tuple(a for a in review.assessments if a.findings or a.gaps or a.breakdowns)
    return replace(review, assessments=said, causes=(), questions=(), filled_in=())
