"""The command readings. Arguments in, exit status out."""

from __future__ import annotations

from pathlib import Path

import click

from reviewer.cli.output import ENDINGS, FINDINGS, NOTHING, UNREADABLE, answer, fail, save, unreadable

_STATUS = f"""\b
Exit status:
  0  every reading is within its limits
  1  a reading is out of limits or not understood, a row is of no step of
     this design, or no reading was filled in
  2  a file cannot be read, or the answer cannot be written
  3  a defect of the reviewer
{ENDINGS}
This is a second opinion. Local rules and licensed practice decide. What is
not in the file was not looked at."""


@click.command(epilog=_STATUS)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("cards", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), help="Write the answer to this file.")
@click.pass_context
def readings(context: click.Context, file: Path, cards: Path, out: Path | None) -> None:
    """Judge the readings on CARDS that were filled in.

    CARDS are power-up-cards.csv or test-cards.csv of a handoff folder, or its workbook, with readings
    under `measured` or `reading`: a number, with its unit or without, or yes or no. Each is judged by
    the limits of FILE as it is now; single failures that explain those out of limits are solved.
    """
    from reviewer.questions.effects import effects_of
    from reviewer.questions.naming import NoAnswer
    from reviewer.questions.power_up import power_up
    from reviewer.questions.readings import readings_of
    from reviewer.questions.test_cards import cards_of
    from reviewer.reading import Unreadable, names_of
    from reviewer.reading.filled_cards import filled_cards
    from reviewer.reports.handoff.filled_steps import measured_steps
    from reviewer.reports.readings_text import readings_text
    from reviewer.session import facts_of

    try:
        facts = facts_of(file)
        rows = filled_cards(cards)
        effects = effects_of(facts) if facts.design.operation is not None else None
        steps, strange = measured_steps(facts.as_written, power_up(facts), cards_of(facts, effects), rows)
        found = readings_of(facts, steps)
    except Unreadable as error:
        unreadable(error)
    except NoAnswer as error:
        fail(str(error), UNREADABLE)
    name, of = names_of([file, cards])
    text = readings_text(name, of, found, strange)
    if out is not None:
        save(out, text, file, cards)
    else:
        answer(text)
    context.exit(FINDINGS if found.out or found.unread or strange or not found.within else NOTHING)
