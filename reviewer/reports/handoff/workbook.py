"""The schedules as one workbook, a sheet for each under the cautions, the cover first."""

from __future__ import annotations

import io
import re
from datetime import datetime
from typing import TYPE_CHECKING, Any

from reviewer.reports import wording
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.title_rows import title_line

if TYPE_CHECKING:
    import numpy as np

#: the date of every workbook: its content depends on the design only
_MADE = datetime(2000, 1, 1)
_LONGEST = 32_000  # a cell of a workbook may have 32,767 letters
#: letters of a column, at least; of a word that is not broken; of a page of A4 in landscape on which letters
#: of 11 points are printed with 6.5 points and more
_LEAST, _WORD, _PAGE = 7, 20, 225
#: letters by which a column is made narrower at once
_STEPS = (1, 2, 4, 8, 16, 32, 64, 128, 256)
#: a row counts by this norm of the lines of its cells, so that two high cells in a row are both made lower
_HIGH = 6
#: lines of a row from which on each counts so many times: no row may need more than the most
_TALL, _TIMES = 22, 60
#: points of a line, and the most that a row may have
_LINE, _HIGHEST = 15.0, 405.0
#: the paper of the print, by its number in workbooks
_A4 = 9
#: the row of the headings, from 0; the cautions stand above it
_HEADS = 1
#: letters of a sheet name, at most
SHEET_NAME = 31


def as_workbook(solved: SolvedDesign, tables: tuple[Schedule, ...]) -> bytes:
    """The workbook. The same design and version give the same bytes."""
    import xlsxwriter

    stream = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(stream, options)
    review = solved.review
    book.set_properties(
        {
            "title": wording.shown(f"{review.aircraft}: schedules")[:200],
            "created": _MADE,
            "comments": " ".join(wording.CAUTIONS),
        }
    )
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    plain = book.add_format({"text_wrap": True, "valign": "top"})
    for table in tables:
        _sheet(book, table, title_line(solved.design.aircraft), bold, plain)
    book.close()
    return stream.getvalue()


def _sheet(book: Any, table: Schedule, title: str, bold: Any, plain: Any) -> None:
    sheet = book.add_worksheet(table.key[:SHEET_NAME])
    sheet.write_string(0, 0, wording.SHORT_CAUTION)
    widths = _widths(table)
    for number, heading in enumerate(table.columns):
        sheet.set_column(number, number, widths[number])
        sheet.write_string(_HEADS, number, _clipped(heading), bold)
    for row, cells in enumerate(table.rows, _HEADS + 1):
        for number, cell in enumerate(cells):
            if isinstance(cell, str):
                sheet.write_string(row, number, _clipped(cell), plain)
            else:
                sheet.write_number(row, number, cell, plain)
    for row, cells in enumerate((table.columns, *table.rows), _HEADS):
        needed = max(_lines(str(cell), wide) for cell, wide in zip(cells, widths, strict=True))
        if needed > 1:  # some programs keep the height of one line, and print wrapped text over the next row
            sheet.set_row(row, min(needed * _LINE, _HIGHEST))
    sheet.freeze_panes(_HEADS + 1, 1)
    if table.rows:
        sheet.autofilter(_HEADS, 0, _HEADS + len(table.rows), len(table.columns) - 1)
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.set_margins(left=0.4, right=0.4)
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(_HEADS)
    sheet.set_header(f"&L{wording.SHORT_CAUTION}")
    sheet.set_footer(f"&L{wording.shown(title)[:120].replace('&', '&&')}&C{table.key}&R&P of &N")


def _widths(table: Schedule) -> list[int]:
    """Letters of each column, so that the sheet goes on the width of one page in as few lines as may be.

    Each column begins as wide as its longest cell. Step by step the one is made narrower where it
    costs the fewest lines, down to its longest word, or part of one up to a hyphen.
    """
    import numpy as np

    columns = [[str(c) for c in column] for column in zip(table.columns, *table.rows, strict=True)]
    widths = [max(_LEAST, *(len(cell) + 2 for cell in column)) for column in columns]
    longest = [max(len(piece) for cell in column for piece in _pieces(cell)) for column in columns]
    headed = [max(map(len, _pieces(heading))) for heading in table.columns]
    least = [max(_LEAST, min(word, _WORD) + 1, head + 2) for word, head in zip(longest, headed, strict=True)]
    while sum(least) > _PAGE and max(least) > _LEAST:  # words that are too long for the page are broken
        least[least.index(max(least))] -= 1
    letters = np.array([[len(cell) for cell in column] for column in columns])
    heights = [_least(row, wide) ** _HIGH for row, wide in zip(letters, widths, strict=True)]
    while (over := sum(widths) - _PAGE) > 0:
        rows = np.sum(heights, axis=0)
        now, best = _cost(rows), (np.inf, 0, 0)
        for i, wide in enumerate(widths):
            for fewer in (step for step in _STEPS if step <= wide - least[i] and step < 2 * over):
                then = rows - heights[i] + _least(letters[i], wide - fewer) ** _HIGH
                best = min(best, ((_cost(then) - now) / fewer, i, -fewer))
        if not best[2]:
            break
        widths[best[1]] += best[2]
        heights[best[1]] = _least(letters[best[1]], widths[best[1]]) ** _HIGH
    return widths


def _cost(rows: np.ndarray) -> float:
    """Lines of a sheet, of ``rows`` to the power of the norm; those of a high row count many times."""
    import numpy as np

    lines = rows ** (1 / _HIGH)
    return float((lines + _TIMES * np.maximum(0.0, lines - _TALL)).sum())


def _least(letters: np.ndarray, wide: int) -> np.ndarray:
    """Lines of cells, without what is lost at the ends of lines."""
    import numpy as np

    return np.maximum(1.0, -(-letters // (wide - 1)))


def _lines(text: str, wide: int) -> int:
    """Lines of a text in a column; a piece that is wider than the column is broken."""
    lines, used = 1, 0
    for piece in _pieces(text):
        shown = len(piece.rstrip())
        if used and used + shown > wide:
            lines, used = lines + 1, 0
        used += len(piece)
        if shown > wide:
            lines, used = lines + (shown - 1) // wide, (used - 1) % wide + 1
    return lines


def _pieces(text: str) -> list[str]:
    """What a text is broken into: words and their parts up to a hyphen, each with the space after it."""
    return re.findall(r"[^\s-]*-?\s*", text)


def _clipped(text: str) -> str:
    shown = wording.shown(text)
    return shown if len(shown) <= _LONGEST else shown[: _LONGEST - 1] + "…"
