"""The command review. Arguments in, exit status out."""

from __future__ import annotations

import os
from collections.abc import Sequence
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
    save,
    tell,
    trials_option,
    with_rules_from,
)

if TYPE_CHECKING:
    from reviewer.cli.one_review import Reviewed
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
    reviews: list[tuple[Review, str]] = []
    unread: list[Unreadable] = []
    status = NOTHING
    places = [os.path.realpath(path) for path in files]
    names = names_of(files)
    # a file that is named twice is read once, by the first of its paths
    different: dict[str, tuple[Path, list[str]]] = {}
    for place, path, name in zip(places, files, names, strict=True):
        different.setdefault(place, (path, []))[1].append(name)
    part = "screen" if form == "text" and not any(asked) else form
    side_by_side = _processes(jobs, len(different))
    if side_by_side > 1:
        from reviewer.cli.many_files import reviews_side_by_side

        found = reviews_side_by_side(
            tuple(different.values()), side_by_side, rules, rules_from, not without_trials, part
        )
        known = dict(zip(different, found, strict=True))
    else:
        known = {
            place: _with_progress(*file, rules, not without_trials, part) for place, file in different.items()
        }
    for path, name, place in zip(files, names, places, strict=True):
        own = known[place]
        if isinstance(own, Unreadable):
            named = Unreadable(str(path), own.problems, own.lines)
            tell(_mistakes(named) if form == "lines" else problems_of(named))
            status = UNREADABLE
            unread.append(Unreadable(name, own.problems))
        else:
            reviews.append(own[name])
    only = [one for one, _ in reviews]
    report = _asked_for(cause, missing, only) if cause or missing else ""
    report = report or _report("all" if everything or satisfied else form, reviews, satisfied, unread)
    if out is not None and report:
        save(out, report, *files)
    elif report:
        answer(report)
    context.exit(max([status, *(_status(r, HazardClass.of(stop_at)) for r in only)]))


def _processes(jobs: int | None, files: int) -> int:
    """How many processes review some files: as asked, else one for each processor where there are more
    than :data:`FEW`; never more than files."""
    if jobs is None and files <= FEW:
        return 1
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(jobs or cores, files))


def _with_progress(
    path: Path, names: Sequence[str], rules: Sequence[Rule], trials: bool, form: str
) -> Reviewed:
    """As :func:`reviewed`, reporting its progress."""
    from reviewer.cli.one_review import reviewed

    progress = Progress()
    try:
        return reviewed(path, names, rules, trials, form, progress)
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


def _report(
    form: str, reviews: Sequence[tuple[Review, str]], satisfied: bool, unread: Sequence[Unreadable]
) -> str:
    """The report, of reviews with their parts of it; for people nothing where no file could be read, as
    all has been said by then."""
    if form == "json":
        from reviewer.reports.review.json import json_of

        return json_of((lines for _, lines in reviews), unread)
    if form == "sarif":
        from reviewer.reports.review.sarif import sarif_of

        return sarif_of(reviews, __version__, unread)
    if not reviews:
        return ""
    if form == "lines":
        return "".join(lines for _, lines in reviews)
    from reviewer.reports.review.text import as_text, screens_of

    names = [file.file for file in unread]
    if form == "all":
        return as_text([one for one, _ in reviews], satisfied=satisfied, unread=names)
    return screens_of(reviews, unread=names)
