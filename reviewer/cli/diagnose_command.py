"""The command diagnose. Arguments in, exit status out."""

from __future__ import annotations

from pathlib import Path

import click

from reviewer.cli.output import UNREADABLE, fail
from reviewer.cli.question_commands import ANSWERED, write_table


@click.command(epilog=ANSWERED)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--state", metavar="STATE", help="The state in which it is seen; the normal state if not given."
)
@click.option(
    "--reads",
    multiple=True,
    metavar="NAME=VALUE",
    help="What a monitor reads (`12.1 V`, `-5 A`, `discharge 5 A`, `lit`, `dark`, `blank`), or a voltmeter "
    "at PART.TERMINAL, engine stopped, or an ohmmeter to ground with all off and a wire taken off: "
    "`PART.TERMINAL without WIRE=0.2 ohm`, `WIRE off PART.TERMINAL=OL`. May be repeated, as all that follow.",
)
@click.option("--dark", multiple=True, metavar="LOAD", help="A load or instrument that does not work.")
@click.option("--works", multiple=True, metavar="LOAD", help="One that works.")
@click.option(
    "--open", "opened", multiple=True, metavar="BREAKER", help="A breaker, fuse or limiter that is open."
)
@click.option("--closed", multiple=True, metavar="BREAKER", help="One that is closed.")
@click.option("--rest-normal", is_flag=True, help="All that is not reported was looked at and is as usual.")
@click.option(
    "--as",
    "form",
    type=click.Choice(["text", "csv", "json"]),
    default="text",
    show_default=True,
    help="Form of the answer.",
)
@click.option("--out", type=click.Path(path_type=Path), help="Write the answer to this file.")
def diagnose(
    file: Path,
    state: str | None,
    reads: tuple[str, ...],
    dark: tuple[str, ...],
    works: tuple[str, ...],
    opened: tuple[str, ...],
    closed: tuple[str, ...],
    rest_normal: bool,
    form: str,
    out: Path | None,
) -> None:
    """Find the causes that explain symptoms, and what to look at next.

    Every single failure of the state is solved, and with each latent one where none explains all.
    What one repair puts right is one cause, with all places where it may be. Causes that cannot be
    told apart are one group; the groups that explain most come first. Then the look,
    switch movement, voltage or, for shorts, isolation that splits them best, the safe ones first.
    What is seen after the switches were moved to another state is reported as STATE:NAME. With
    `--as csv` the cautions go to standard error.
    """
    from reviewer.questions.symptoms import Reported

    for text in reads:
        if "=" not in text:
            fail(f"`{text}` has no value; write for example `--reads '{text}=12.1 V'`.", UNREADABLE)
    readings = tuple((name, value) for name, _, value in (text.partition("=") for text in reads))
    reported = Reported(readings, dark, works, opened, closed, rest_normal)
    write_table("diagnose", file, form, out, state, reported)
