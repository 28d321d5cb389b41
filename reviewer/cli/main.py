"""The program and its small commands: explain, schema, start, expand. Arguments in, exit status out."""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import sys
from pathlib import Path

import click
from click.core import ParameterSource

from reviewer import __version__, resources
from reviewer.cli.ask_command import ask
from reviewer.cli.check_command import check
from reviewer.cli.diagnose_command import diagnose
from reviewer.cli.handoff_commands import brief, compare, handoff, report
from reviewer.cli.live_command import live
from reviewer.cli.output import (
    BROKEN,
    CLOSED_PIPE,
    NOTHING,
    UNREADABLE,
    answer,
    fail,
    place,
    rules_of,
    save,
    say,
    tell,
    unreadable,
    with_rules_from,
)
from reviewer.cli.own_rules_command import start_rule, try_rules
from reviewer.cli.question_commands import (
    ANSWERED,
    budget,
    checklists,
    effects,
    fail_part,
    graph,
    solve,
    trace,
    wires,
)
from reviewer.cli.readings_command import readings
from reviewer.cli.review_command import STATUS, review
from reviewer.cli.serve_command import serve
from reviewer.cli.stopping import STOPPED

# no plugin of another package has a say in what a file means, and to look for some takes long
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


#: the commands by what they are for, in the order of work
GROUPS = {
    "Review": ("start", "assemblies", "review", "ask"),
    "Look": ("report", "live", "brief", "trace", "wires", "expand"),
    "Ask": ("fail", "effects", "solve", "diagnose", "checklists", "budget", "compare"),
    "Hand over": ("handoff", "check", "readings"),
    "Develop": ("explain", "schema", "graph", "serve", "try"),
}


class _ByPurpose(click.Group):
    """A group whose help lists the commands by what they are for."""

    def format_commands(self, context: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the commands of each group under its name."""
        width = max(map(len, self.commands))
        for title, names in GROUPS.items():
            with formatter.section(title):
                formatter.write_dl(
                    [(f"{name:<{width}}", self.commands[name].get_short_help_str(120)) for name in names]
                )


@click.group(
    cls=_ByPurpose,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog=STATUS,
)
@click.version_option(__version__, prog_name="reviewer", message="%(prog)s %(version)s")
def commands() -> None:
    """Review the design of a light aircraft's electrical system before a wire is cut."""


@commands.command()
@click.argument("topic", required=False)
@with_rules_from
def explain(topic: str | None, rules_from: tuple[Path, ...]) -> None:
    """Print the handbook: the list of rules, or the page of one TOPIC.

    TOPIC is a rule; a kind of part, as `battery`; a section of the file, as `circuits`; a key, as
    `rating`; a choice at a key, as `starter`; a word of the trade, as `crowbar`; `format`;
    `references`, all that is cited; or `facts`, what a rule of your own may ask.
    """
    import json

    from reviewer.reports.format_pages import format_page, topics
    from reviewer.reports.reference_page import reference_page
    from reviewer.rulebook import handbook

    if topic is None:
        answer(handbook.contents(rules_of(rules_from)))
        return
    schema = json.loads(resources.design_schema())
    known = topics(schema)
    if topic in known:
        answer(format_page(topic, schema))
        return
    if topic == "facts" or topic.startswith("facts."):
        from reviewer.rulebook.facts_pages import facts_page
        from reviewer.rulebook.facts_pages import topics as asked

        known = asked()
        if topic in known:
            answer(facts_page(topic))
            return
    rules = rules_of(rules_from)
    if topic == "references":
        answer(reference_page(rules))
        return
    found = next((r for r in rules if r.name == topic), None)
    if found is None:
        from difflib import get_close_matches

        from reviewer.reports.word_pages import word_page

        if page := word_page(topic, known, rules):
            answer(page)
            return
        near = get_close_matches(topic, [*known, *(r.name for r in rules)], 3, 0.7)
        hint = f"; similar: {', '.join(near)}" if near else "; `reviewer explain` lists the rules"
        fail(f"There is no rule, kind, section, key or choice `{topic}`{hint}.", UNREADABLE)
    answer(handbook.page(found, resources.rule_examples()))


@commands.command()
@click.argument(
    "which",
    type=click.Choice(
        [
            *("design", "review", "effects", "operating-points", "wires", "budget", "comparison"),
            *("graph", "handoff", "diagnosis", "checklists"),
        ]
    ),
    default="design",
)
def schema(which: str) -> None:
    """Print a JSON Schema.

    Of design files, reviews, failure effects, operating points, wire lists, electrical load
    analyses, comparisons, graphs, manifests of handoff folders, diagnoses,
    or checklists.
    """
    answer((resources.folder("schemas") / f"{which}.schema.json").read_text(encoding="utf-8"))


@commands.command()
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--design",
    "which",
    type=click.Choice(list(resources.STARTERS)),
    default="sketch",
    show_default=True,
    help="What to begin with: a sketch of 15 parts; two ignitions of assemblies; the same in detail.",
)
@click.option(
    "--rule", metavar="NAME", help="Instead, write a rule of your own with its cases; FILE is its folder."
)
def start(file: Path | None, which: str, rule: str | None) -> None:
    """Write a commented example design to FILE, or print it.

    Beside FILE it writes design.schema.json, from which an editor completes kinds and keys, where
    there is none yet.
    """
    if rule is not None:
        if click.get_current_context().get_parameter_source("which") is ParameterSource.COMMANDLINE:
            fail("`--rule` writes a design of its own; leave `--design` out.", UNREADABLE)
        start_rule(rule, file or Path())
        return
    text = resources.starter(which)
    if file is None:
        answer(text)
        return
    from reviewer.cli.written_file import write_new_file

    schema = file.parent / resources.DESIGN_SCHEMA
    place(file, lambda: write_new_file(file, text.encode("utf-8")))
    say(f"Wrote {file}. Review it with: reviewer review {file}")
    if not os.path.lexists(schema):
        place(schema, lambda: write_new_file(schema, resources.design_schema().encode("utf-8")))
        say(f"Wrote {schema}, which the first line of {file.name} names to an editor.")


@commands.command()
@click.argument("name", required=False)
@click.option("--aircraft", is_flag=True, help="Print the aircraft in which it was reviewed.")
def assemblies(name: str | None, aircraft: bool) -> None:
    """List the assemblies that a design may install, or print the one of a NAME.

    Each has its drawing, what it is given, its sources and its text.
    """
    from reviewer.reading.assemblies.library import library_example, library_names
    from reviewer.reports import assembly_pages

    if name is None:
        answer(assembly_pages.contents())
    elif name not in library_names():
        from reviewer.reading.problem import nearest
        from reviewer.reports.wording import shown

        fail(f"There is no assembly `{shown(name)}`{nearest(name, library_names())}.", UNREADABLE)
    elif aircraft:
        answer(library_example(name))
    else:
        answer(assembly_pages.page(name, 100))


@commands.command(epilog=ANSWERED)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Write the long form to this file.")
def expand(file: Path, out: Path | None) -> None:
    """Print a design file with its circuits, tables and assemblies written out as parts and wires.

    The long form has the same review. All else in the file is copied as it stands; a comment among
    them stands above what replaces them.
    """
    from reviewer.reading import Unreadable, read_file
    from reviewer.reading.circuits.expand import expanded
    from reviewer.reports.wording import shown

    try:
        design = read_file(file)
    except Unreadable as error:
        unreadable(error)
    try:
        text = expanded(design.content, str(file), design.beside)
    except Unreadable as error:
        unreadable(Unreadable(error.file, error.problems, design.lines))
    if out is not None:
        save(out, text, file)
    elif sys.stdout is not None and sys.stdout.isatty():  # letters that move a cursor stay in the file
        answer("\n".join(map(shown, text.split("\n"))))
    else:
        answer(text)


for command in (
    review,
    ask,
    trace,
    fail_part,
    effects,
    solve,
    wires,
    graph,
    budget,
    report,
    brief,
    live,
    compare,
    handoff,
    check,
    readings,
    diagnose,
    checklists,
    serve,
    try_rules,
):
    commands.add_command(command)


def _tell(error: click.ClickException) -> None:
    """What is wrong with the command line, its hidden characters written as escapes."""
    import io

    from reviewer.reports.wording import shown

    text = io.StringIO()
    error.show(text)
    tell("\n".join(map(shown, text.getvalue().split("\n"))))


def main() -> None:
    """The command, as :func:`run` with its exit status as that of the process."""
    sys.exit(run())


def run() -> int:
    """Run the command of ``sys.argv``; its exit status.

    Never shows a traceback: what is not foreseen is named as a defect of the reviewer.
    """
    import gc

    gc.disable()  # a run is short and ends; collecting costs more than it frees
    try:
        status = _asked()
    except click.exceptions.Exit as done:
        status = done.exit_code
    except click.ClickException as error:
        _tell(error)
        status = UNREADABLE
    except KeyboardInterrupt as stop:
        status = getattr(stop, "status", STOPPED + signal.SIGINT)
    except Exception as error:  # the last place where a defect can be named instead of shown as a traceback
        status = _lost(error) if isinstance(error, OSError) and error.filename is None else _defect(error)
    gc.freeze()  # nor is there a last collection when Python ends
    return status


def _asked() -> int:
    """Run the command, and nothing around it that would take an interrupt or a lost reader as its own."""
    if "_REVIEWER_COMPLETE" in os.environ:  # a shell asks how a word may go on
        commands.main(prog_name="reviewer")
    with commands.make_context("reviewer", sys.argv[1:]) as context:
        status = commands.invoke(context)
    return status if isinstance(status, int) else NOTHING


def _lost(error: OSError) -> int:
    """What standard output did not take; a reader that has seen enough is no mistake."""
    with contextlib.suppress(OSError):  # what is left in the buffer goes nowhere when Python ends
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    if error.errno == errno.EPIPE:
        return CLOSED_PIPE
    say(f"Standard output cannot be written: {error.strerror or error}.")
    return UNREADABLE


def _defect(error: Exception) -> int:
    import traceback

    where = traceback.extract_tb(error.__traceback__)[-1]
    place = f"{Path(where.filename).name}, line {where.lineno}"
    say(
        "This is a defect of the reviewer, not of your design: "
        f"{type(error).__name__}: {error} ({place}). Please report it with the file that shows it."
    )
    return BROKEN
