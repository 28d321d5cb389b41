"""The command review. Arguments in, exit status out."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from reviewer import __version__
from reviewer.cli.output import (
    BROKEN,
    ENDINGS,
    FINDINGS,
    NOTHING,
    UNREADABLE,
    Progress,
    answer,
    problems_of,
    rules_of,
    rules_print_aside,
    save,
    tell,
    with_rules_from,
)

if TYPE_CHECKING:
    from reviewer.model.review import HazardClass, Review

_CLASSES = ("catastrophic", "hazardous", "major", "minor", "no-safety-effect")
STATUS = f"""\b
Exit status:
  0  no finding at or above the class of --stop-at
  1  findings at or above it; or, past the concept stage, data are missing
     for a rule of class hazardous or catastrophic; or a concession matches
     no finding
  2  a file cannot be reviewed, the report cannot be written, or the
     command is not understood
  3  rule error: a rule failed or could not be loaded
{ENDINGS}
This is a second opinion. Local rules and licensed practice decide. A design
without findings can still be wrong."""


@click.command(epilog=STATUS)
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="FILE...")
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "json", "sarif"]),
    default="text",
    show_default=True,
    help="Form of the report.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the report to this file.")
@click.option(
    "--stop-at",
    type=click.Choice(_CLASSES),
    default="minor",
    show_default=True,
    help="Lowest hazard class that gives exit status 1.",
)
@with_rules_from
@click.pass_context
def review(
    context: click.Context,
    files: tuple[Path, ...],
    form: str,
    out: Path | None,
    stop_at: str,
    rules_from: tuple[Path, ...],
) -> None:
    """Review design files."""
    from reviewer.model.review import HazardClass
    from reviewer.reading import Unreadable, names_of
    from reviewer.session import review_file

    rules = rules_of(rules_from)
    progress = Progress()
    reviews: list[Review] = []
    status = NOTHING
    known: dict[str, Review | Unreadable] = {}  # a file that is named twice is read once
    for path, name in zip(files, names_of(files), strict=True):
        place = os.path.realpath(path)
        if place not in known:
            try:
                with rules_print_aside():
                    known[place] = review_file(path, rules, progress.of(path), progress.announce(path))
            except Unreadable as error:
                known[place] = error
            finally:
                progress.end()
        own = known[place]
        if isinstance(own, Unreadable):
            tell(problems_of(Unreadable(str(path), own.problems, own.lines)))
            status = UNREADABLE
        else:
            reviews.append(replace(own, file=name))
    report = _report(form, reviews) if reviews else ""
    if out is not None and reviews:
        save(out, report, *files)
    elif reviews:
        answer(report)
    context.exit(max([status, *(_status(r, HazardClass.of(stop_at)) for r in reviews)]))


def _status(review: Review, stop_at: HazardClass) -> int:
    from reviewer.model.review import HazardClass

    if review.breakdowns:
        return BROKEN
    found = any(f.hazard >= stop_at and f.conceded is None for f in review.findings)
    unassessed = review.stage != "concept" and any(g.hazard >= HazardClass.HAZARDOUS for g in review.gaps)
    return FINDINGS if found or unassessed or review.unmatched else NOTHING


def _report(form: str, reviews: Sequence[Review]) -> str:
    if form == "json":
        from reviewer.reports.review.json import as_json

        return as_json(reviews)
    if form == "sarif":
        from reviewer.reports.review.sarif import as_sarif

        return as_sarif(reviews, __version__)
    from reviewer.reports.review.text import as_text

    return as_text(reviews)
