"""The commands that write documents for others: report, compare, handoff.

Arguments in, exit status out.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

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
    fail,
    problems_of,
    rules_of,
    rules_print_aside,
    save,
    say,
    tell,
    trials_option,
    unreadable,
    with_rules_from,
)

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.reports.handoff.solved import SolvedDesign
    from reviewer.rulebook.rule import Rule
    from reviewer.session import Announce

T = TypeVar("T")
Report = Callable[[int, int, str], None]
_STATUS = f"""\b
Exit status:
  0  written, whatever was found
  2  a file cannot be read or written, or the command is not understood
  3  rule error: a rule failed (the report says which) or could not be loaded
{ENDINGS}
This is a second opinion. Local rules and licensed practice decide. A design
without findings can still be wrong."""
_COMPARED = f"""\b
Exit status:
  0  no new finding and no new missing data
  1  a new finding that nobody conceded, a finding of a higher class, or new
     missing data
  2  a file cannot be read, the comparison cannot be written, or the
     command is not understood
  3  rule error: a rule failed or could not be loaded
{ENDINGS}
This is a second opinion. Local rules and licensed practice decide. A design
without findings can still be wrong."""

_file = click.argument("file", type=click.Path(path_type=Path))


@click.command(epilog=_STATUS)
@_file
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Write the page to this file.")
@trials_option
@with_rules_from
@click.pass_context
def report(
    context: click.Context, file: Path, out: Path, rules_from: tuple[Path, ...], without_trials: bool
) -> None:
    """Write the review of FILE as one page for a browser.

    The page needs no network: findings, missing data, the power distribution schematic with every
    declared state and single failure, switch states, failure effects and test cards.
    """
    from reviewer.reports.page.html import as_page

    solved = _solved(file, rules_from, not without_trials)
    save(out, as_page(solved), file)
    context.exit(BROKEN if solved.review.breakdowns else NOTHING)


@click.command(epilog=_STATUS)
@_file
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Write the brief to this file.")
@trials_option
@with_rules_from
@click.pass_context
def brief(
    context: click.Context, file: Path, out: Path, rules_from: tuple[Path, ...], without_trials: bool
) -> None:
    """Write FILE in brief, as two landscape sheets for a printer.

    The distribution with each source, bus and load; what the failure of each source does, what shows
    it, for how long the rest works, and what the crew does.
    """
    from reviewer.reports.page.brief import as_brief

    solved = _solved(file, rules_from, not without_trials)
    save(out, as_brief(solved), file)
    context.exit(BROKEN if solved.review.breakdowns else NOTHING)


@click.command(epilog=_STATUS)
@_file
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    required=True,
    help="Write the folder here; it must be new, empty, or a former handoff.",
)
@trials_option
@with_rules_from
@click.pass_context
def handoff(
    context: click.Context, file: Path, out: Path, rules_from: tuple[Path, ...], without_trials: bool
) -> None:
    """Write a handoff folder of FILE.

    The page, the wire list and the other schedules as CSV and as one workbook, the review as JSON
    and SARIF, the design file itself, and a manifest with the digest of each file.
    """
    from reviewer.cli.folder import NotOurs, place_folder
    from reviewer.reports.handoff.contents import folder_files

    solved = _solved(file, rules_from, not without_trials)
    try:
        place_folder(out, folder_files(solved))
    except NotOurs as error:
        fail(str(error), UNREADABLE)
    except (OSError, ValueError) as error:
        fail(f"{out} cannot be written: {getattr(error, 'strerror', None) or error}.", UNREADABLE)
    say(f"Wrote {out}.")
    context.exit(BROKEN if solved.review.breakdowns else NOTHING)


@click.command(epilog=_COMPARED)
@click.argument("old", type=click.Path(path_type=Path))
@click.argument("new", type=click.Path(path_type=Path))
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "json", "sarif"]),
    default="text",
    show_default=True,
    help="Form of the comparison.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the comparison to this file.")
@with_rules_from
@click.pass_context
def compare(
    context: click.Context, old: Path, new: Path, form: str, out: Path | None, rules_from: tuple[Path, ...]
) -> None:
    """Report how the NEW file differs from the OLD one.

    First the verdict: single points of failure, minutes, feeds and causes that are gone and new.
    Then both designs side by side in figures; findings and missing data that are new, gone or
    changed; what differs in behaviour, even where no finding does; and the parts and wires that
    differ. What differs only in its name is listed as renamed.
    """
    from reviewer.questions.compare import compare as compared
    from reviewer.reading import names_of
    from reviewer.reports.compare.table import comparison_json, comparison_sarif
    from reviewer.reports.compare.text import comparison_text
    from reviewer.session import reviewed_facts

    rules = rules_of(rules_from)
    one, two = _readable(old, new)
    old_facts, before = _read(old, rules, partial(reviewed_facts, one))
    if two is one:
        new_facts, after = old_facts, before
    else:
        new_facts, after = _read(new, rules, partial(reviewed_facts, two))
    names = names_of([old, new])
    before, after = replace(before, file=names[0]), replace(after, file=names[1])
    comparison = compared(before, old_facts, after, new_facts)
    if form == "text":
        text = comparison_text(comparison)
    elif form == "json":
        text = comparison_json(comparison)
    else:
        text = comparison_sarif(comparison, __version__)
    if out is not None:
        save(out, text, old, new)
    else:
        answer(text)
    if before.breakdowns or after.breakdowns:
        context.exit(BROKEN)
    context.exit(FINDINGS if comparison.worse else NOTHING)


def _readable(old: Path, new: Path) -> tuple[Facts, Facts]:
    """The facts of two files, the same ones where both are one file; mistakes of either end the command."""
    from reviewer.reading import Unreadable
    from reviewer.session import facts_of

    found: dict[str, Facts] = {}
    mistakes: dict[str, str] = {}
    for path in (old, new):
        if (place := os.path.realpath(path)) not in {*found, *mistakes}:
            try:
                found[place] = facts_of(path)
            except Unreadable as error:
                mistakes[place] = problems_of(error)
    if mistakes:
        tell("".join(mistakes.values()))
        raise click.exceptions.Exit(UNREADABLE)
    return found[os.path.realpath(old)], found[os.path.realpath(new)]


def _solved(file: Path, folders: tuple[Path, ...], trials: bool) -> SolvedDesign:
    """A file solved; what cannot be read ends the command."""
    from reviewer.session import solved_file

    return _read(file, rules_of(folders), partial(solved_file, trials=trials))


def _read(file: Path, rules: Sequence[Rule], use: Callable[[Path, Sequence[Rule], Report, Announce], T]) -> T:
    """What a use case makes of a file; a file that cannot be read ends the command."""
    from reviewer.reading import Unreadable

    progress = Progress()
    try:
        with rules_print_aside():
            return use(file, rules, progress.of(file), progress.announce(file))
    except Unreadable as error:
        unreadable(error)
    finally:
        progress.end()
