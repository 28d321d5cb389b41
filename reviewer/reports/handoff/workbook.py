"""The schedules as one workbook, a sheet for each under the cautions, the cover first."""

from __future__ import annotations

import io
from datetime import datetime
from typing import Any

from reviewer.reports import wording
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.title_rows import title_line

#: the date of every workbook: its content depends on the design only
_MADE = datetime(2000, 1, 1)
_LONGEST = 32_000  # a cell of a workbook may have 32,767 letters
#: letters of a column, at most; of a sheet that is wider than a page, and of a page of A4 in landscape on
#: which letters of 11 points are printed with 6.5 points and more
_TEXT_WIDE, _NARROW, _PAGE = 48, 30, 225
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
    lines = [1] * (_HEADS + 1 + len(table.rows))
    widths = _widths(table)
    for number, (heading, *cells) in enumerate(zip(table.columns, *table.rows, strict=True)):
        sheet.write_string(_HEADS, number, _clipped(heading), bold)
        for row, cell in enumerate(cells, _HEADS + 1):
            if isinstance(cell, str):
                sheet.write_string(row, number, _clipped(cell), plain)
            else:
                sheet.write_number(row, number, cell, plain)
        wide = widths[number]
        sheet.set_column(number, number, wide)
        for row, cell in enumerate((heading, *cells), _HEADS):
            lines[row] = max(lines[row], -(-len(str(cell)) // wide))
    for row, needed in enumerate(lines):
        if needed > 1:  # some programs keep the height of one line, and print wrapped text over the next row
            sheet.set_row(row, min(needed * _LINE, _HIGHEST))
    sheet.freeze_panes(_HEADS + 1, 1)
    if table.rows:
        sheet.autofilter(_HEADS, 0, _HEADS + len(table.rows), len(table.columns) - 1)
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.set_margins(left=0.4, right=0.4)
    again = table.columns.index("step") + 1 if "step" in table.columns[:4] else 1
    own = sum(widths[:again])
    sheet.fit_to_pages(1 if sum(widths) <= _PAGE else -(-(sum(widths) - own) // (_PAGE - own)), 0)
    sheet.repeat_columns(0, again - 1)
    sheet.print_across()
    sheet.repeat_rows(0, _HEADS)
    sheet.set_footer(f"&L{wording.shown(title)[:120].replace('&', '&&')}&C{table.key}&R&P of &N")


def _widths(table: Schedule) -> list[int]:
    """Letters of each column: of a sheet that does not go on one page in its print, narrower ones."""
    columns = zip(table.columns, *table.rows, strict=True)
    wanted = [max(9, *(len(str(c)) + 2 for c in column)) for column in columns]
    widths = [min(_TEXT_WIDE, wide) for wide in wanted]
    return widths if sum(widths) <= _PAGE else [min(_NARROW, wide) for wide in wanted]


def _clipped(text: str) -> str:
    shown = wording.shown(text)
    return shown if len(shown) <= _LONGEST else shown[: _LONGEST - 1] + "…"
