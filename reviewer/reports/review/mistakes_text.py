"""The mistakes of a file that cannot be reviewed, for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reviewer.model.places import index_of
from reviewer.reports.layout import NARROWEST, lines_of
from reviewer.reports.wording import counted, shown

#: nobody reads more mistakes than these, and a terminal takes long to show them
MOST_SHOWN = 1000


def as_problems(
    file: str,
    problems: Sequence[Any],
    source_lines: Sequence[str] | None = None,
    width: int = 100,
    undone: str = "reviewed",
) -> str:
    """The mistakes of a file that cannot be reviewed, each with its message and its place.

    With ``source_lines``, also the line itself. A problem has ``line``, ``column``, ``pointer``,
    ``message`` and, for one in a table, its ``cell``; one of the ``whole`` file has no place. ``undone`` is
    what is not done with the file. Of more than ``MOST_SHOWN`` the rest are counted.
    """
    width = max(width, NARROWEST)
    lines = [f"{shown(file)} cannot be {undone}."]
    for problem in problems[:MOST_SHOWN]:
        where = problem.pointer.lstrip("/")
        lines += ["", *lines_of(shown(problem.message), width, 2)]
        if problem.whole:
            continue
        place = problem.cell.words if problem.cell else f"line {problem.line}, column {problem.column}"
        lines += lines_of(shown(place) + (f" ({shown(where)})" if where else ""), width, 6)
        if problem.cell:
            lines += _row(problem.cell, width)
        elif source_lines and 0 < problem.line <= len(source_lines):
            lines += _source(source_lines[problem.line - 1].rstrip("\r\n"), problem.column, width)
    if len(problems) > MOST_SHOWN:
        lines += ["", f"  {counted(len(problems) - MOST_SHOWN, 'more mistake')} not listed."]
    lines += ["", f"{counted(len(problems), 'mistake')} in {shown(file)}; nothing was {undone}."]
    return "\n".join(lines) + "\n"


def _row(cell: Any, width: int) -> list[str]:
    """The row of a table with bars between its cells, and a mark under the cell."""
    texts = [" ".join(text.split()) for text in cell.cells]
    number = index_of(cell.letters)
    texts += [""] * (number + 1 - len(texts))
    return _source(" | ".join(texts), sum(len(text) + 3 for text in texts[:number]) + 1, width)


def _source(line: str, column: int, width: int) -> list[str]:
    """The line of the file and a mark under the column; of a long line only a part."""
    start = max(0, column - 1 - width // 3)
    before = ("... " if start else "") + shown(line[start : column - 1])
    text = before + shown(line[column - 1 : column + width])
    room = width - 8
    return [
        f"      | {text if len(text) <= room else text[: room - 4] + ' ...'}".rstrip(),
        "      | " + " " * len(before) + "^",
    ]
