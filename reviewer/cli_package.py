"""The commands that make something to hand to others: report, compare, handoff. Arguments in, exit status out."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from reviewer import resources
from reviewer.terminal import BROKEN, NOTHING, UNREADABLE, Progress, fail, lines_of, save

if TYPE_CHECKING:
    from reviewer.reports.solved import Solved

_STATUS = """\b
Exit status:
  0  written; it says nothing of what was found
  2  a file cannot be read or written, or the command is not understood
  3  a rule broke down or could not be loaded; what was written says which

This is a second opinion. Local rules and licensed practice decide. A design
without findings can still be wrong."""
_COMPARED = """\b
Exit status:
  0  no new finding and nothing newly unassessed
  1  a new finding that nobody conceded, or a gap that was not there before
  2  a file cannot be read, or the command is not understood
  3  a rule broke down or could not be loaded"""

_file = click.argument("file", type=click.Path(path_type=Path))
_rules = click.option(
    "--rules-from", type=click.Path(path_type=Path), multiple=True, metavar="FOLDER", help="Also use the rules of this folder; may be repeated."
)


@click.command(epilog=_STATUS)
@_file
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Write the page to this file.")
@_rules
@click.pass_context
def report(context: click.Context, file: Path, out: Path, rules_from: tuple[Path, ...]) -> None:
    """Write the review of FILE as one page for a browser.

    The page needs no network: findings, what was not assessed, the one-line diagram with every declared state and single failure, switch states,
    failure effects and test cards.
    """
    from reviewer.reports.page.page import as_page

    solved = _solved(file, rules_from)
    save(out, as_page(solved))
    context.exit(BROKEN if solved.review.breakdowns else NOTHING)


def _solved(file: Path, folders: tuple[Path, ...]) -> Solved:
    """A file solved; what cannot be read ends the command."""
    from reviewer.handover import solved_file
    from reviewer.reading import Unreadable
    from reviewer.rulebook.shelf import RuleNotLoadable, load_rules

    try:
        rules = load_rules([resources.folder("rules"), *folders])
    except RuleNotLoadable as error:
        fail(f"A rule cannot be loaded, so nothing was reviewed. {error.path}: {error.reason}.", BROKEN)
    progress = Progress()
    try:
        return solved_file(file, rules, progress.of(file))
    except Unreadable as error:
        from reviewer.reports.text import as_problems

        fail(as_problems(error.file, error.problems, lines_of(file)).rstrip("\n"), UNREADABLE)
    finally:
        progress.end()
