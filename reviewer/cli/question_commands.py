"""The commands that answer a question about one file. Arguments in, exit status out."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from reviewer.cli.output import ENDINGS, UNREADABLE, answer, fail, save, tell, trials_option, unreadable

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts

ANSWERED = f"""\b
Exit status:
  0  answered
  2  the file cannot be read, a name in the question is unknown, or data
     that the answer needs are missing in the file, or the answer cannot be
     written
  3  a defect of the reviewer
{ENDINGS}
This is a second opinion. Local rules and licensed practice decide. What is
not in the file was not looked at."""

_MODES = (
    "open",
    "shorted-to-ground",
    "shorted",
    "coil-diode-shorted",
    "welded-closed",
    "failed-open",
    "stuck-energised",
    "stuck-de-energised",
    "failed-full-on",
    "output-stuck-on",
    "stays",
    "severed",
    "degraded:OHMS",
    "leaking:OHMS",
)
_file = click.argument("file", type=click.Path(path_type=Path))
_state = click.option("--state", metavar="STATE", help="A declared state; the normal state if not given.")
_form = click.option(
    "--as",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="Form of the table.",
)
_out = click.option("--out", type=click.Path(path_type=Path), help="Write the answer to this file.")


@click.command(epilog=ANSWERED)
@_file
@click.argument("name", metavar="LOAD")
@click.option("--state", metavar="STATE", help="Only this state; every declared state if not given.")
def trace(file: Path, name: str, state: str | None) -> None:
    """Trace the supply and return of LOAD.

    LOAD is a load, an instrument, a bus, any other part, or a terminal as PART.TERMINAL. For each
    declared state: the sources, the supply path from each in order, the return path, the circuit
    protection and switches in them, and what is dead.
    """
    from reviewer.questions.trace import trace_of
    from reviewer.reading import names_of
    from reviewer.reports.trace_text import trace_text

    with _asked(file) as facts:
        answer(trace_text(names_of([file])[0], facts.design, trace_of(facts, name, state)))


@click.command("fail", epilog=ANSWERED)
@_file
@click.argument("name", metavar="PART")
@click.option(
    "--mode",
    metavar="MODE",
    help=f"Only this failure mode; all that apply if not given ({', '.join(_MODES)}).",
)
@_state
def fail_part(file: Path, name: str, mode: str | None, state: str | None) -> None:
    """Show what happens when PART fails.

    PART is a part, a wire or a bundle. Local effect; functions lost, with the hazard class of each;
    indication; remaining redundancy, with the further single failures that would cause loss of each
    function; crew action. With `--mode degraded`: from which resistance of a joint, contact or
    battery on a function is lost; with `--mode 'degraded:0.05 ohm'` the volts of its loads and what
    indicates it too; `leaking` for a diode or alternator.
    """
    from reviewer.questions.fail import fail_of
    from reviewer.reading import names_of
    from reviewer.reports.fail_text import fail_text

    with _asked(file) as facts:
        answer(fail_text(names_of([file])[0], facts.design, fail_of(facts, name, mode, state)))


@click.command(epilog=ANSWERED)
@_file
@_state
@_form
@_out
def effects(file: Path, state: str | None, form: str, out: Path | None) -> None:
    """List the effects of every single failure.

    For each part, wire and bundle and each mode in which it can fail: the local effect, the
    functions lost and their hazard class, the indication, and the remaining redundancy. With `--as
    csv` the cautions go to standard error.
    """
    write_table("effects", file, form, out, state)


@click.command(epilog=ANSWERED)
@_file
@_state
@click.option(
    "--failed",
    multiple=True,
    metavar="PART[=MODE]",
    help=f"With this part failed; open if no mode is given ({', '.join(_MODES)}). "
    "PART=MODE@PLACE names the terminal or position, PART='degraded:0.05 ohm' what a joint, contact or "
    "battery has more in series, PART='leaking:50 ohm' what is across a diode. May be repeated.",
)
@click.option(
    "--while",
    "starting",
    multiple=True,
    metavar="LOAD",
    help="While this motor starts, this lamp is cold, or this load or instrument draws its peak. "
    "May be repeated.",
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
    """Compute the voltages and currents of a state.

    For each phase with this state: the voltage at every terminal, the current in each wire,
    contact, diode and circuit protection, voltage and current of each load, the output of each
    source and the reading of each monitor; the typical values used, and what could not be solved.
    With `--as csv` the cautions go to standard error.
    """
    write_table("solve", file, form, out, state, failed, starting)


@click.command(epilog=ANSWERED)
@_file
@_state
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "csv", "json", "html"]),
    default="text",
    show_default=True,
    help="Form of the cards.",
)
@_out
def checklists(file: Path, state: str | None, form: str, out: Path | None) -> None:
    """Write emergency and abnormal checklists, a card for each indication.

    For each alarm, light, reading, dark unit or open breaker that single failures give: what it means,
    what works and for how many minutes, the actions that restore in their order, what not to do, and
    what is left. Every indication has a card or is named as having none. `--as html` prints a card a
    sheet. With `--as csv` the cautions go to standard error.
    """
    write_table("checklists", file, form, out, state)


@click.command(epilog=ANSWERED)
@_file
@_form
@_out
@trials_option
def budget(file: Path, form: str, out: Path | None, without_trials: bool) -> None:
    """Write the electrical load analysis: loads, generating capacity and battery endurance.

    Loads, alternators and batteries by phase; the endurance of each battery when it is aged and
    cold, with the effect of each load-shedding action; the parasitic drain while parked. With `--as
    csv` the cautions go to standard error.
    """
    write_table("budget", file, form, out, not without_trials)


@click.command(epilog=ANSWERED)
@_file
@_form
@_out
def wires(file: Path, form: str, out: Path | None) -> None:
    """List every wire with its current, limit, voltage drop and protection.

    For each wire: its largest continuous current, its limit in its bundle and zone, its voltage
    drop, and the circuit protection at each energised end. For each load: the voltage drop from the
    bus and back, continuous and at peak current. With `--as csv` the cautions go to standard error,
    and the loads are left out.
    """
    write_table("wires", file, form, out)


@click.command(epilog=ANSWERED)
@_file
@click.option(
    "--as",
    "form",
    type=click.Choice(["graphml", "json"]),
    default="graphml",
    show_default=True,
    help="Form of the graph.",
)
@_out
def graph(file: Path, form: str, out: Path | None) -> None:
    """Write the network as a graph for other programs.

    A node for each terminal, with its part and its role; an edge for each direction in which a
    wire, contact, breaker or diode can conduct, with its part or wire and the states in which it
    conducts with nothing failed. A load is no edge. With `--as graphml` the cautions go to standard
    error; the JSON form can be read with `networkx.node_link_graph(data, edges="edges")`.
    """
    from reviewer.reading import names_of
    from reviewer.reports.graph_forms import graph_json, graph_xml

    with _asked(file) as facts:
        if form == "json":
            report = graph_json(names_of([file])[0], facts.design, facts.graph)
        else:
            report = graph_xml(facts.graph)
    _deliver(report, file, form, out)


def write_table(question: str, file: Path, form: str, out: Path | None, *asked: Any) -> None:
    """Answer a question with a table, to another file or to standard output."""
    from reviewer.cli.question_forms import QUESTIONS
    from reviewer.reading import names_of

    with _asked(file) as facts:
        report = QUESTIONS[question].report(form, names_of([file])[0], facts, *asked)
    _deliver(report, file, form, out)


def _deliver(report: str, file: Path, form: str, out: Path | None) -> None:
    """To another file or to standard output; the cautions aside where the form has no place for them."""
    if form in ("csv", "graphml"):
        from reviewer.reports.wording import CAUTIONS

        tell("\n".join(CAUTIONS) + "\n")
    if out is not None:
        save(out, report, file)
    else:
        answer(report)


@contextmanager
def _asked(file: Path) -> Iterator[Facts]:
    """The facts of a file; what cannot be answered ends the command with one message."""
    from reviewer.questions.naming import NoAnswer
    from reviewer.reading import Unreadable
    from reviewer.session import facts_of

    try:
        yield facts_of(file)
    except Unreadable as error:
        unreadable(error)
    except NoAnswer as error:
        fail(str(error), UNREADABLE)
