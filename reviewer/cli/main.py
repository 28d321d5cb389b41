"""Arguments in, exit status out. What a command does is decided elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from reviewer import __version__, resources
from reviewer.cli.handoff_commands import compare, handoff, report
from reviewer.cli.output import (
    BROKEN,
    FINDINGS,
    NOTHING,
    UNREADABLE,
    Progress,
    fail,
    problems_of,
    rules_of,
    save,
    say,
    with_rules_from,
    write,
)
from reviewer.cli.question_commands import budget, effects, fail_part, solve, trace, wires

if TYPE_CHECKING:
    from reviewer.model.review import HazardClass, Review

_CLASSES = ("catastrophic", "hazardous", "major", "minor", "no-safety-effect")
_STATUS = """\b
Exit status:
  0  nothing at or above the class of --stop-at
  1  findings at or above it; or, past the concept stage, something that a
     rule of class hazardous or catastrophic could not assess; or a
     concession that matches nothing
  2  a file cannot be reviewed, or the command is not understood
  3  a rule broke down or could not be loaded

This is a second opinion. Local rules and licensed practice decide. A design
without findings can still be wrong."""


@click.group(
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}, epilog=_STATUS
)
@click.version_option(__version__, prog_name="reviewer", message="%(prog)s %(version)s")
def commands() -> None:
    """Review the design of a light aircraft's electrical system before a wire is cut."""


@commands.command(epilog=_STATUS)
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
    help="Least hazard class that gives exit status 1.",
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
    from reviewer.reading import Unreadable
    from reviewer.session import review_file

    rules = rules_of(rules_from)
    progress = Progress()
    reviews: list[Review] = []
    status = NOTHING
    for path in files:
        try:
            reviews.append(review_file(path, rules, progress.of(path)))
        except Unreadable as error:
            write(sys.stderr, problems_of(error, path))
            status = UNREADABLE
    progress.end()
    report = _report(form, reviews) if reviews else ""
    if out is not None and reviews:
        save(out, report, *files)
    elif reviews:
        write(sys.stdout, report)
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


@commands.command()
@click.argument("rule", required=False)
@with_rules_from
def explain(rule: str | None, rules_from: tuple[Path, ...]) -> None:
    """Print the handbook: the list of rules, or the page of one RULE."""
    from reviewer.rulebook import handbook

    rules = rules_of(rules_from)
    if rule is None:
        write(sys.stdout, handbook.contents(rules))
        return
    found = next((r for r in rules if r.name == rule), None)
    if found is None:
        from difflib import get_close_matches

        near = get_close_matches(rule, [r.name for r in rules], 3, 0.4)
        hint = f"; near it: {', '.join(near)}" if near else "; `reviewer explain` lists them"
        fail(f"There is no rule `{rule}`{hint}.", UNREADABLE)
    write(sys.stdout, handbook.page(found, resources.rule_examples()))


@commands.command()
@click.argument(
    "which",
    type=click.Choice(
        ["design", "review", "effects", "operating-points", "wires", "budget", "comparison", "handoff"]
    ),
    default="design",
)
def schema(which: str) -> None:
    """Print a JSON Schema.

    Of design files, reviews, tables of failure effects, operating points, lists of wires, load budgets, comparisons, or manifests of handoffs.
    """
    write(sys.stdout, (resources.folder("schemas") / f"{which}.schema.json").read_text(encoding="utf-8"))


@commands.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
def start(file: Path | None) -> None:
    """Write a commented design to begin with to FILE, or print it."""
    if file is None:
        write(sys.stdout, resources.starter())
        return
    try:
        with file.open("x", encoding="utf-8") as stream:
            stream.write(resources.starter())
    except FileExistsError:
        fail(f"{file} is there already and was left as it was; name a file that does not exist.", UNREADABLE)
    except (OSError, ValueError) as error:
        fail(f"{file} cannot be written: {getattr(error, 'strerror', None) or error}.", UNREADABLE)
    say(f"Wrote {file}. Review it with: reviewer review {file}")


for command in (trace, fail_part, effects, solve, wires, budget, report, compare, handoff):
    commands.add_command(command)


def _tell(error: click.ClickException) -> None:
    """What is wrong with the command line, its hidden characters written as escapes."""
    import io

    from reviewer.reports.wording import shown

    told = io.StringIO()
    error.show(told)
    write(sys.stderr, "\n".join(map(shown, told.getvalue().split("\n"))))


def main() -> None:
    """The command. Never shows a traceback: what is not foreseen is named as a defect of the reviewer."""
    import gc

    gc.disable()  # a run is short and ends; collecting costs more than it frees
    try:
        status = commands.main(standalone_mode=False)
    except click.exceptions.Exit as done:
        status = done.exit_code
    except click.ClickException as error:
        _tell(error)
        status = UNREADABLE
    except (click.Abort, KeyboardInterrupt):
        status = 130
    except BrokenPipeError:
        import os

        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        status = 141
    except (
        Exception
    ) as error:  # the last place where a defect of ours can be told instead of shown as a traceback
        import traceback

        where = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(where.filename).name}, line {where.lineno}"
        told = f"{type(error).__name__}: {error} ({place})"
        say(
            f"This is a defect of the reviewer, not of your design: {told}. Please report it with the file that shows it."
        )
        status = BROKEN
    gc.freeze()  # nor is there a last collection when Python ends
    sys.exit(status if isinstance(status, int) else NOTHING)
