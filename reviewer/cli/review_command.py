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
    trials_option,
    with_rules_from,
)

if TYPE_CHECKING:
    from reviewer.model.review import HazardClass, Review
    from reviewer.reading import Unreadable
    from reviewer.rulebook.rule import Rule

_CLASSES = ("catastrophic", "hazardous", "major", "minor", "no-safety-effect")
#: files that one process reviews where nobody asks for more
FEW = 4
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
    type=click.Choice(["text", "lines", "json", "sarif"]),
    default="text",
    show_default=True,
    help="Form of the report; `lines` is FILE:LINE:COLUMN: class: sentence, for editors.",
)
@click.option("--all", "everything", is_flag=True, help="Every cause and every finding with its evidence.")
@click.option("--cause", type=click.IntRange(min=1), metavar="NUMBER", help="One cause with its findings.")
@click.option("--missing", is_flag=True, help="The data to add for what was not assessed, for pasting.")
@click.option("--satisfied", is_flag=True, help="As --all, with the names of the rules that are met.")
@click.option("--out", type=click.Path(path_type=Path), help="Write the report to this file.")
@click.option(
    "--stop-at",
    type=click.Choice(_CLASSES),
    default="minor",
    show_default=True,
    help="Lowest hazard class that gives exit status 1.",
)
@trials_option
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="NUMBER",
    help="Files reviewed at a time; of five or more one for each processor if not given.",
)
@click.option(
    "--changed",
    is_flag=True,
    help="The files are those that changed: pass over a table that no design names.",
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
    everything: bool,
    cause: int | None,
    missing: bool,
    satisfied: bool,
    without_trials: bool,
    jobs: int | None,
    changed: bool,
) -> None:
    """Review design files.

    Prints one screen: the verdict, the causes with the repair of each, and what was not assessed.
    For a table of a design, the designs beside it that name it are reviewed; for a folder, the designs
    in it: files named `*.design` or `*.circuit` with `.yaml`, `.yml` or `.json`.
    """
    from reviewer.cli.changed_tables import designs_of
    from reviewer.model.review import HazardClass
    from reviewer.reading import Unreadable, names_of

    asked = [bool(cause), missing, everything or satisfied]
    if sum(asked) > 1 or (any(asked) and form != "text"):
        raise click.UsageError("--cause, --missing and --all are forms of the text; name one of them.")
    files = tuple(designs_of(files, changed))
    rules = rules_of(rules_from)
    reviews: list[Review] = []
    unread: list[str] = []
    status = NOTHING
    places = [os.path.realpath(path) for path in files]
    # a file that is named twice is read once, by the first of its names
    different = {place: files[places.index(place)] for place in places}
    side_by_side = _processes(jobs, len(different))
    if side_by_side > 1:
        from reviewer.cli.many_files import reviews_side_by_side

        found = reviews_side_by_side(
            tuple(different.values()), side_by_side, rules, rules_from, not without_trials
        )
        known = dict(zip(different, found, strict=True))
    else:
        known = {place: _one(path, rules, not without_trials) for place, path in different.items()}
    for path, name, place in zip(files, names_of(files), places, strict=True):
        own = known[place]
        if isinstance(own, Unreadable):
            named = Unreadable(str(path), own.problems, own.lines)
            tell(_mistakes(named) if form == "lines" else problems_of(named))
            status = UNREADABLE
            unread.append(name)
        else:
            reviews.append(replace(own, file=name))
    report = _asked_for(cause, missing, reviews) if cause or missing else ""
    report = report or _report("all" if everything or satisfied else form, reviews, satisfied, unread)
    if out is not None and reviews:
        save(out, report, *files)
    elif reviews:
        answer(report)
    context.exit(max([status, *(_status(r, HazardClass.of(stop_at)) for r in reviews)]))


def _processes(jobs: int | None, files: int) -> int:
    """How many processes review some files: as asked, else one for each processor where there are more
    than :data:`FEW`; never more than files."""
    if jobs is None and files <= FEW:
        return 1
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(jobs or cores, files))


def _one(path: Path, rules: Sequence[Rule], trials: bool) -> Review | Unreadable:
    """The review of a file with its progress, or what is wrong with it."""
    from reviewer.reading import Unreadable
    from reviewer.session import review_file

    progress = Progress()
    try:
        with rules_print_aside():
            return review_file(path, rules, progress.of(path), progress.announce(path), trials)
    except Unreadable as error:
        return error
    finally:
        progress.end()


def _status(review: Review, stop_at: HazardClass) -> int:
    from reviewer.model.review import HazardClass

    if review.breakdowns:
        return BROKEN
    found = any(f.hazard >= stop_at and f.conceded is None for f in review.findings)
    unassessed = review.stage != "concept" and any(g.hazard >= HazardClass.HAZARDOUS for g in review.gaps)
    return FINDINGS if found or unassessed or review.unmatched else NOTHING


def _asked_for(cause: int | None, missing: bool, reviews: Sequence[Review]) -> str:
    """One cause of a review, or what to write for what each did not assess."""
    from reviewer.reports.review.cause_text import cause_text
    from reviewer.reports.review.questions_text import missing_pages

    if missing:
        return missing_pages(reviews)
    if len(reviews) > 1:
        raise click.UsageError("--cause takes one file.")
    for one in reviews:
        if cause and cause > len(one.causes):
            have = f"has {len(one.causes)}" if one.causes else "has none"
            raise click.UsageError(f"There is no cause {cause}: {one.file} {have}.")
    return "".join(cause_text(one, cause) for one in reviews if cause)


def _mistakes(error: Unreadable) -> str:
    from reviewer.reports.review.problem_lines import as_mistake_lines

    return as_mistake_lines(error.file, error.problems)


def _report(form: str, reviews: Sequence[Review], satisfied: bool, unread: Sequence[str]) -> str:
    if not reviews:
        return ""
    if form == "json":
        from reviewer.reports.review.json import as_json

        return as_json(reviews)
    if form == "sarif":
        from reviewer.reports.review.sarif import as_sarif

        return as_sarif(reviews, __version__)
    if form == "lines":
        from reviewer.reports.review.problem_lines import as_lines

        return as_lines(reviews)
    from reviewer.reports.review.text import as_screens, as_text

    if form == "all":
        return as_text(reviews, satisfied=satisfied, unread=unread)
    return as_screens(reviews, unread=unread)
