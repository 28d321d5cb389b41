"""What must hold whatever a file or a name is."""

from __future__ import annotations

import csv
import io
import itertools
import json
import re
from collections.abc import Collection
from dataclasses import replace
from functools import cache
from pathlib import Path

import click

from reviewer.cli.written_file import name_beside
from reviewer.reports.wording import SHORT_CAUTION
from tests.fuzz.case import Case, Outcome
from tests.fuzz.tables import TABLES

#: letters that no report may hold: control characters (of a page and a table but for the line end and the tab), and those that turn text round
_UNSHOWN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff]")

#: signs with which a spreadsheet begins to compute, their wide and small forms, and what it leaves out before them; a number may have its sign, with a unit or without
_COMPUTED = re.compile(r"[\t\r\n]|\s*[=+\-@\uff1d\uff0b\uff0d\uff20\ufe66\ufe62\ufe63\ufe6b]")
_NUMBER = re.compile(
    r"-(0|[1-9][0-9]*)(\.[0-9]+)?(e[+-]?[0-9]+)?|-[0-9][0-9,]*(\.[0-9]+)? (m?A|m?V|m?ohm|W|Ah|C|s|min|m)"
)


def computed(cell: str) -> bool:
    """Whether a spreadsheet would compute the cell of a CSV file, or leave out what stands first in it."""
    return bool(_COMPUTED.match(cell)) and not _NUMBER.fullmatch(cell)


@cache
def documented(name: str) -> frozenset[int]:
    """The exit statuses in the help of a command; those of the whole where it names none."""
    from reviewer.cli.main import commands

    command = commands.commands.get(name)
    text = (command.epilog if isinstance(command, click.Command) else None) or commands.epilog or ""
    return frozenset(map(int, re.findall(r"^  (\d)  ", text, re.M)))


def complaints(case: Case, outcome: Outcome) -> list[str]:
    """What is wrong with what a command did; nothing where all is well."""
    told = outcome.out + outcome.err
    command = next((a for a in case.arguments if not a.startswith("-")), "")
    asked = _asked(case, command, outcome.status)
    wrong = [
        f"forbidden: {text}"
        for text in outcome.forbidden
        if not any(mark and mark in text for mark in asked.values())
    ] + [f"not as it was: {name}" for name in outcome.spoilt if name not in asked]
    if "Traceback (most" in told:
        wrong.append("a traceback")
    if "defect of the reviewer, not" in told:
        wrong.append("a defect was told")
    if outcome.status < 0:
        wrong.append(f"ended by signal {-outcome.status} after {outcome.seconds:.1f} s")
    elif outcome.status not in documented(command) - {3} and not (
        outcome.status == 3 and any(a.startswith("--rules-from") for a in case.arguments)
    ):
        wrong.append(f"exit status {outcome.status} of {command or 'the command'}")
    if outcome.status == 2 and not outcome.err.strip():
        wrong.append("status 2 without a word")
    if outcome.status == 2 and command not in ("review",) and outcome.made:
        wrong.append(f"status 2, yet written: {list(outcome.made)[:3]}")
    shown = told.replace("\r\n", "\n") if "csv" in case.arguments else _without_own(case, command, told)
    if found := _UNSHOWN.search(shown):
        wrong.append(
            f"U+{ord(found[0]):04X} on the terminal: {shown[max(0, found.start() - 40) : found.end() + 20]!r}"
        )
    if outcome.status in (0, 1):
        copied = (
            {n: _without_own(case, command, t.decode()).encode() for n, t in outcome.made.items()}
            if command == "expand"
            else outcome.made
        )
        wrong += _form(
            case.arguments,
            replace(outcome, out=_without_own(case, command, outcome.out), made=copied),
            [content for name, content in case.files.items() if name.startswith(TABLES)],
        )
    return wrong


def _without_own(case: Case, command: str, text: str) -> str:
    """The text without the letters of the files, where the command copies what stands in them."""
    own = set("".join(content.decode("utf-8", "replace") for content in case.files.values()))
    return (
        "".join(c for c in text if c not in own or c.isprintable() or c == "\n")
        if command == "expand"
        else text
    )


def _asked(case: Case, command: str, status: int) -> dict[str, str]:
    """The paths that a command is asked to write, out of its folder too, and how each shows where it is noted.

    What is written stands beside its place first.
    """
    arguments = case.arguments
    if arguments[:1] == ["start"]:
        named = [a for a in arguments[1:] if a not in case.files]
        schemas = [str(Path(a).parent / "design.schema.json") for a in named]  # beside it, for an editor
        return {a: _beside(a) for a in (*named, *schemas)}
    if "--out" not in arguments or command == "handoff" or (status == 2 and command != "review"):
        return {}
    named = arguments[arguments.index("--out") + 1 :][:1]
    return {name: _beside(name) if name and "out" not in name.split("/") else "" for name in named}


def _beside(name: str) -> str:
    return "/" + repr(name_beside(Path(name)))[1:-1]


def _form(arguments: list[str], outcome: Outcome, copied: Collection[bytes]) -> list[str]:
    """What is wrong with the form of what was written; what is ``copied`` has that of the case."""
    form = next((b for a, b in itertools.pairwise(arguments) if a == "--as"), "text")
    if {"-h", "--help"} & set(arguments):
        form = "text"
    wrong = []
    outcome = replace(outcome, made={n: c for n, c in outcome.made.items() if c not in copied})
    texts = {"what was printed": outcome.out} if outcome.out else {}
    texts |= {
        name: content.decode("utf-8")
        for name, content in outcome.made.items()
        if not name.endswith((".xlsx", "/design.yaml", "/design.json"))
    }
    for name, text in texts.items():
        try:
            if form in ("json", "sarif") or name.endswith((".json", ".sarif")):
                json.loads(text, parse_constant=_no_constant)
            elif form == "csv" or name.endswith(".csv"):
                table = text.removeprefix("\ufeff")
                if name.endswith(".csv") and form != "csv":  # a schedule of a folder
                    first, _, table = table.partition("\r\n")
                    wrong += [] if first == f"# {SHORT_CAUTION}" else [f"{name}: no cautions"]
                rows = list(csv.reader(io.StringIO(table, newline=""), strict=True))
                if len({len(row) for row in rows}) > 1:
                    wrong.append(f"{name}: rows of different lengths")
                if formulas := [cell for row in rows for cell in row if computed(cell)]:
                    wrong.append(f"{name}: a formula: {formulas[0][:80]!r}")
            elif "<html" in text[:300]:
                judged = _sheets if name.endswith("/brief.html") else _page
                wrong += [f"{name}: {what}" for what in judged(text)]
            if found := _UNSHOWN.search(text.removeprefix("\ufeff").replace("\r\n", "\n")):
                wrong.append(f"{name}: U+{ord(found[0]):04X}")
        except (ValueError, csv.Error) as error:
            wrong.append(f"{name}: {error}")
    return wrong


def _no_constant(word: str) -> None:
    raise ValueError(f"{word} is no JSON")


def _sheets(text: str) -> list[str]:
    """What is wrong with a page that is only printed: it has no script and no picture of another place."""
    wrong = ["a script"] if "<script" in text else []
    wrong += ["an image"] if "<img" in text else []
    return wrong + (["no end"] if not text.rstrip().endswith("</html>") else [])


def _page(text: str) -> list[str]:
    wrong = [] if len(re.findall("<script", text)) == 2 else ["more scripts than its own"]
    wrong += ["an image"] if "<img" in text else []
    wrong += ["no end"] if not text.rstrip().endswith("</html>") else []
    data = text.partition('<script type="application/json" id="data">')[2].partition("</script>")[0]
    json.loads(data, parse_constant=_no_constant)
    return wrong + (
        ["a number that is none"]
        if re.search(
            r"\b(nan|NaN|inf|Infinity)\b",
            re.sub(r"zq7\S*", "", text.partition("<main")[2].partition("<script")[0]),
        )
        else []
    )
