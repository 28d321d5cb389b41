"""The schedules as one workbook, a sheet for each under the cautions, the cover first."""

from __future__ import annotations

import io
import re
from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import reduce
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
#: letters by which a column is made narrower at once; of those that cost as much the first counts
_STEPS = (256, 128, 64, 32, 16, 8, 4, 2, 1)
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
#: what a text is broken into: words and their parts up to a hyphen, each with the space after it
_PIECE = re.compile(r"[^\s-]*-?\s*")


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
    columns = [list(map(str, column)) for column in zip(table.columns, *table.rows, strict=True)]
    widths = _widths(columns)
    for number, heading in enumerate(table.columns):
        sheet.set_column(number, number, widths[number])
        sheet.write_string(_HEADS, number, _clipped(heading), bold)
    for row, cells in enumerate(table.rows, _HEADS + 1):
        for number, cell in enumerate(cells):
            if cell == "":
                sheet.write_blank(row, number, None, plain)
            elif isinstance(cell, str):
                sheet.write_string(row, number, _clipped(cell), plain)
            else:
                sheet.write_number(row, number, cell, plain)
    lines = [
        {cell: _lines(cell, wide) for cell in set(column) if len(cell) > wide}
        for column, wide in zip(columns, widths, strict=True)
    ]
    high = [[known.get(cell, 1) for cell in column] for known, column in zip(lines, columns, strict=True)]
    for row, needed in enumerate(map(max, zip(*high, strict=True)), _HEADS):
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


def _widths(columns: Sequence[Sequence[str]]) -> list[int]:
    """Letters of each column, so that the sheet goes on the width of one page in as few lines as may be.

    ``columns`` are the cells of each, the heading first. Each column begins as wide as its longest
    cell. Step by step the one is made narrower where it costs the fewest lines, down to its longest
    word, or part of one up to a hyphen.
    """
    import numpy as np

    lengths = [list(map(len, column)) for column in columns]
    widths = [max(_LEAST, max(letters) + 2) for letters in lengths]
    longest = [_longest_piece(set(column)) for column in columns]
    headed = [_longest_piece(column[:1]) for column in columns]
    least = [max(_LEAST, min(word, _WORD) + 1, head + 2) for word, head in zip(longest, headed, strict=True)]
    while sum(least) > _PAGE and max(least) > _LEAST:  # words that are too long for the page are broken
        least[least.index(max(least))] -= 1
    alike = Counter(zip(*lengths, strict=True))
    times, letters = np.array(list(alike.values())), np.array(list(alike), float).T
    high = list(_high(letters, np.array(widths)[:, None]))
    rows = np.sum(high, axis=0)
    steps = np.tile(_STEPS, len(widths))
    room = np.repeat(np.subtract(widths, least), len(_STEPS))
    narrowed = [_narrowed(*one) for one in zip(letters, widths, least, strict=True)]
    added = [_added(i, high[i], narrowed[i]) for i in range(len(widths))]
    while (over := sum(widths) - _PAGE) > 0:
        which, where, more = map(np.concatenate, zip(*added, strict=True))
        costs = (_cost(rows[where] + more) - _cost(rows)[where]) * times[where]
        # the last digits of a sum differ from machine to machine: they do not choose between columns
        each = np.round(np.bincount(which, costs, len(steps)) / steps, 6)
        each[(steps >= 2 * over) | (steps > room)] = np.inf
        best = int(np.argmin(each))
        if each[best] == np.inf:
            break
        i, k = divmod(best, len(_STEPS))
        step, after = _STEPS[k], narrowed[i][k - len(_STEPS)]
        rows, high[i] = rows - high[i] + after, after
        widths[i] -= step
        room[i * len(_STEPS) : (i + 1) * len(_STEPS)] -= step
        narrowed[i] = _narrowed(letters[i], widths[i], least[i])
        added[i] = _added(i, high[i], narrowed[i])
    return widths


def _narrowed(letters: np.ndarray, wide: int, least: int) -> np.ndarray:
    """:func:`_high` of the cells of a column after each of the last steps, those that leave it its least
    width, (steps, rows); ``letters`` are those of its cell in each row."""
    import numpy as np

    return _high(letters, wide - np.array([step for step in _STEPS if step <= wide - least], int)[:, None])


def _added(column: int, high: np.ndarray, narrowed: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """What the steps that make a column narrower add to the rows that they change, of which it is ``high``
    now: the number of the step among those of all columns, the row, and how much, of one shape."""
    import numpy as np

    more = narrowed - high
    which, where = np.nonzero(more)
    return which + ((column + 1) * len(_STEPS) - len(narrowed)), where, more[which, where]


def _cost(rows: np.ndarray) -> np.ndarray:
    """Lines of rows, of ``rows`` to the power of the norm; those of a high row count many times."""
    import numpy as np

    lines = rows ** (1 / _HIGH)
    return lines + _TIMES * np.maximum(0.0, lines - _TALL)


def _high(letters: np.ndarray, wide: int | np.ndarray) -> np.ndarray:
    """Lines of cells to the power of the norm, without what is lost at the ends of lines."""
    import numpy as np

    lines = np.maximum(1.0, np.ceil(letters / (wide - 1)))
    return reduce(np.multiply, [lines] * _HIGH)  # several times as quick as the power


def _lines(text: str, wide: int) -> int:
    """Lines of a text in a column; a piece that is wider than the column is broken."""
    lines, used = 1, 0
    for piece in _PIECE.findall(text):
        shown = len(piece.rstrip())
        if used and used + shown > wide:
            lines, used = lines + 1, 0
        used += len(piece)
        if shown > wide:
            lines, used = lines + (shown - 1) // wide, (used - 1) % wide + 1
    return lines


def _longest_piece(cells: Iterable[str]) -> int:
    """Letters of the longest piece of some cells."""
    longest = 0
    for cell in sorted(cells, key=len, reverse=True):
        if len(cell) <= longest:
            break
        longest = max(longest, *map(len, _PIECE.findall(cell)))
    return longest


def _clipped(text: str) -> str:
    shown = wording.shown(text)
    return shown if len(shown) <= _LONGEST else shown[: _LONGEST - 1] + "…"
