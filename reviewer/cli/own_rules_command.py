"""Rules of one's own: what `start --rule` writes, and the command try. Arguments in, exit status out."""

from __future__ import annotations

from pathlib import Path

import click

from reviewer import resources
from reviewer.cli.output import (
    BROKEN,
    ENDINGS,
    FINDINGS,
    NOTHING,
    UNREADABLE,
    answer,
    fail,
    place,
    rules_print_aside,
    say,
)


def start_rule(name: str, folder: Path) -> None:
    """Write a new rule with its cases and their design to a folder."""
    from reviewer.cli.written_file import write_new_file
    from reviewer.reports.wording import shown
    from reviewer.rulebook.own_rule import is_rule_name, own_rule

    if not is_rule_name(name):
        said = "A rule is named for the property of a good design, in small letters with hyphens"
        fail(f"{said}: `breakers-are-within-reach`, not `{shown(name)}`.", UNREADABLE)
    if name in (path.stem.replace("_", "-") for path in resources.folder("rules").rglob("*.py")):
        fail(f"`{name}` is a rule that comes with the reviewer; give yours another name.", UNREADABLE)
    if folder.exists() and not folder.is_dir():
        fail(f"{folder} is a file; with `--rule` name the folder for the rule.", UNREADABLE)
    if not folder.is_dir():
        place(folder, lambda: folder.mkdir(parents=True))
    files = {folder / own: text for own, text in own_rule(name).items()}
    there = [path for path in files if path.exists() or path.is_symlink()]
    if there:
        fail(f"{there[0]} is there already; nothing was written. Give the rule another name.", UNREADABLE)
    for path, text in files.items():
        place(path, lambda path=path, text=text: write_new_file(path, text.encode("utf-8")))  # type: ignore[misc]
        say(f"Wrote {path}.")
    say(f"Try it with: reviewer try {folder}")


@click.command(
    name="try",
    epilog=f"""\b
Exit status:
  0  every case is as it says
  1  a case is not, or a rule has none
  2  the folder cannot be read
  3  a rule failed or could not be loaded
{ENDINGS}""",
)
@click.argument("folder", type=click.Path(path_type=Path))
def try_rules(folder: Path) -> None:
    """Run the cases of your own rules in FOLDER.

    A rule is NAME.py or NAME.schema.json; its cases stand beside it in NAME.cases.yaml: a design, edits
    of it, and the subjects with findings.
    """
    from reviewer.own_cases import tried_cases
    from reviewer.reports.wording import counted, shown
    from reviewer.rulebook.loader import RuleNotLoadable, load_rules

    if not folder.is_dir():
        what = "is a file; name its folder" if folder.exists() else "is not there; name a folder of rules"
        fail(f"{folder} {what}.", UNREADABLE)
    lines, wrong, cases, broken = [], 0, 0, False
    try:
        with rules_print_aside():
            rules = load_rules([folder], installed=False)
            for result in tried_cases(rules):
                cases += bool(result.case)
                wrong += bool(result.wrong)
                broken |= result.wrong.startswith("the rule failed")
                name = f"{result.rule}: {result.case}" if result.case else result.rule
                lines.append(f"{shown(name)}: {shown(result.wrong) or 'as it says'}")
    except RuleNotLoadable as error:
        fail(f"A rule cannot be loaded. {error}.", BROKEN)
    said = "all as they say" if not wrong else f"{wrong} not as they should be"
    lines.append(f"{counted(len(rules), 'rule')}, {counted(cases, 'case')}: {said}.")
    answer("\n".join(lines) + "\n")
    raise click.exceptions.Exit(BROKEN if broken else FINDINGS if wrong else NOTHING)
