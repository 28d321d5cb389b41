"""The commands that answer a question about one file: trace, fail, effects, solve, wires, budget. Arguments in, exit status out."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import click

from reviewer.cli.output import UNREADABLE, fail, save, unreadable, write

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts

_STATUS = """\b
Exit status:
  0  answered
  2  the file cannot be read, a name in the question is unknown, or what
     the answer needs is not in the file
  3  a defect of the reviewer

This is a second opinion. Local rules and licensed practice decide. What is
not in the file was not looked at."""

_MODES = (
    "open",
    "shorted-to-ground",
    "shorted",
    "welded-closed",
    "failed-open",
    "stays",
    "severed",
)
_file = click.argument("file", type=click.Path(path_type=Path))
_state = click.option("--state", metavar="STATE", help="A declared state; without it the dispatch state.")
_form = click.option(
    "--as",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="Form of the table.",
)
_out = click.option("--out", type=click.Path(path_type=Path), help="Write the table to this file.")


@click.command(epilog=_STATUS)
@_file
@click.argument("name", metavar="LOAD")
@click.option("--state", metavar="STATE", help="Only this state; without it every declared state.")
def trace(file: Path, name: str, state: str | None) -> None:
    """Tell how LOAD is fed and returned.

    LOAD is a load, an instrument, a bus, any other part, or a terminal as PART.TERMINAL. For each declared state: the sources, the
    way from each in order, the way back, the protectors and switches on them, and what is dead.
    """
    from reviewer.questions.names import trace_of
    from reviewer.reports.trace_text import trace_text

    with _asked(file) as facts:
        write(sys.stdout, trace_text(file.as_posix(), facts.design, trace_of(facts, name, state)))


@click.command("fail", epilog=_STATUS)
@_file
@click.argument("name", metavar="PART")
@click.option("--mode", type=click.Choice(_MODES), help="Only this failure; without it all that apply.")
@_state
def fail_part(file: Path, name: str, mode: str | None, state: str | None) -> None:
    """Tell what happens when PART fails.

    PART is a part, a wire or a bundle. What dies, with the hazard class of each function lost; what shows it; what is left of each
    function, and which single failures would then take it; what the crew can do.
    """
    from reviewer.questions.names import fail_of
    from reviewer.reports.fail_text import fail_text

    with _asked(file) as facts:
        write(sys.stdout, fail_text(file.as_posix(), facts.design, fail_of(facts, name, mode, state)))


@click.command(epilog=_STATUS)
@_file
@_state
@_form
@_out
def effects(file: Path, state: str | None, form: str, out: Path | None) -> None:
    """Tell what every single failure does: the table of failure effects.

    For each part, wire and bundle and each way in which it can fail: the local effect, the functions lost and their hazard class,
    what shows it, and the redundancy that remains. With `--as csv` the cautions go to standard error.
    """
    from reviewer.questions.names import effects_of

    with _asked(file) as facts:
        table = effects_of(facts, state)
        if form == "text":
            from reviewer.reports.effects.text import effects_text

            report = effects_text(file.as_posix(), facts.design, table)
        else:
            from reviewer.reports.effects.table import effects_csv, effects_json

            report = (
                effects_csv(facts.design, table)
                if form == "csv"
                else effects_json(file.as_posix(), facts.design, table)
            )
    _hand_over(report, form, out, file)


@click.command(epilog=_STATUS)
@_file
@_state
@click.option(
    "--failed", multiple=True, metavar="PART[=MODE]",
    help=f"With this failed; it opens where no mode is given ({', '.join(_MODES)}). PART=MODE@PLACE names the terminal or position. May be repeated.",
)  # fmt: skip
@click.option(
    "--while",
    "starting",
    multiple=True,
    metavar="LOAD",
    help="While this motor starts, or this lamp is cold; may be repeated.",
)
@_form
@_out
def solve(
    file: Path,
    state: str | None,
    failed: tuple[str, ...],
    starting: tuple[str, ...],
    form: str,
    out: Path | None,
) -> None:
    """Tell volts and amperes of a state.

    For each phase that is flown in it: volts of every terminal, what each wire, contact, diode and protector carries, what each load has and takes,
    what each source gives and each monitor reads, the typical values that this rests on, and what could not be solved. With `--as csv` the cautions go
    to standard error.
    """
    from reviewer.questions.names import solved_of

    with _asked(file) as facts:
        answer = solved_of(facts, state, failed, starting)
        if form == "text":
            from reviewer.reports.solve.text import solve_text

            report = solve_text(file.as_posix(), facts.design, facts.network, answer)
        else:
            from reviewer.reports.solve.table import solve_csv, solve_json

            csv = form == "csv"
            report = (
                solve_csv(facts.design, facts.network, answer)
                if csv
                else solve_json(file.as_posix(), facts.design, facts.network, answer)
            )
    _hand_over(report, form, out, file)


@click.command(epilog=_STATUS)
@_file
@_form
@_out
def budget(file: Path, form: str, out: Path | None) -> None:
    """Tell the load budget: what each phase takes, and how long the batteries last.

    Loads, alternators and batteries in each phase, as solved; the endurance of each battery on a cold day when it is aged, with what each action of the
    shed plan brings; what drains the batteries in the hangar. With `--as csv` the cautions go to standard error.
    """
    from reviewer.questions.names import budget_of

    with _asked(file) as facts:
        answer = budget_of(facts)
        if form == "text":
            from reviewer.reports.budget.text import budget_text

            report = budget_text(file.as_posix(), facts.design, answer)
        else:
            from reviewer.reports.budget.table import budget_csv, budget_json

            report = (
                budget_csv(answer) if form == "csv" else budget_json(file.as_posix(), facts.design, answer)
            )
    _hand_over(report, form, out, file)


@click.command(epilog=_STATUS)
@_file
@_form
@_out
def wires(file: Path, form: str, out: Path | None) -> None:
    """Tell what every wire carries, may carry and loses.

    For each wire: its current in the flown state in which it is loaded worst, what it may carry in its bundle and zone, the volts lost on it, and the
    protector at each end that can be fed. For each load: the drop from the bus to it and back, at its usual current and at its peak. With `--as csv` the
    cautions go to standard error, and the loads are left out.
    """
    from reviewer.questions.names import wires_of

    with _asked(file) as facts:
        table = wires_of(facts)
        if form == "text":
            from reviewer.reports.wires.text import wires_text

            report = wires_text(file.as_posix(), facts.design, table)
        else:
            from reviewer.reports.wires.table import wires_csv, wires_json

            report = (
                wires_csv(facts.design, table)
                if form == "csv"
                else wires_json(file.as_posix(), facts.design, table)
            )
    _hand_over(report, form, out, file)


def _hand_over(report: str, form: str, out: Path | None, file: Path) -> None:
    """Write a table about ``file`` to another file or to standard output; the cautions of a CSV go to standard error."""
    if form == "csv":
        from reviewer.reports.wording import CAUTIONS

        write(sys.stderr, "\n".join(CAUTIONS) + "\n")
    if out is not None:
        save(out, report, file)
    else:
        write(sys.stdout, report)


@contextmanager
def _asked(file: Path) -> Iterator[Facts]:
    """The facts of a file; what cannot be answered ends the command with one message."""
    from reviewer.questions.names import NoAnswer, facts_of
    from reviewer.reading import Unreadable

    try:
        yield facts_of(file)
    except Unreadable as error:
        unreadable(error, file)
    except NoAnswer as error:
        fail(str(error), UNREADABLE)
