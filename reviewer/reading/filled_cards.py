"""Cards that were filled in, as CSV or as a workbook -> what stands in each row under its heading."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from reviewer.model.record import record
from reviewer.reading.problem import Problem, Unreadable

#: the most that is read of a file, and of its rows
MAX_BYTES, MAX_ROWS = 20_000_000, 20_000
#: the most that a workbook may hold once it is unpacked
MAX_UNPACKED = 200_000_000
#: the headings that a sheet of cards has, and those under which readings stand
_NEEDED = frozenset({"card", "step", "look at"})
READING = ("measured", "reading")
_ZIP = b"PK\x03\x04"


@record
class FilledRow:
    """One row of a card: ``place`` says where it stands, ``cells`` is text by heading."""

    place: str
    cells: Mapping[str, str]

    def cell(self, *headings: str) -> str:
        """The text under the first of some headings that the row has; "" for none."""
        return next((self.cells[h] for h in headings if h in self.cells), "")


def filled_cards(path: Path) -> tuple[FilledRow, ...]:
    """The rows of every sheet of cards. Raises :class:`Unreadable`."""
    try:
        content = path.read_bytes() if path.stat().st_size <= MAX_BYTES else b""
    except OSError as error:
        raise _unreadable(path, f"it cannot be read: {error.strerror or error}") from None
    except ValueError as error:
        raise _unreadable(path, f"it cannot be read: {error}") from None
    if not content:
        raise _unreadable(path, f"it is empty or larger than {MAX_BYTES // 1_000_000} MB")
    sheets = _workbook(path, content) if content.startswith(_ZIP) else {"": _csv(path, content)}
    rows = tuple(row for name, lines in sheets.items() for row in _rows(name, lines))
    if not rows:
        wanted = "`card`, `step` and `look at`"
        raise _unreadable(path, f"no sheet has the headings {wanted}; fill in the cards of a handoff folder")
    return rows


def _rows(sheet: str, lines: Iterable[list[str]]) -> Iterator[FilledRow]:
    headings: list[str] = []
    for number, cells in enumerate(lines, 1):
        if number > MAX_ROWS:
            return
        if not headings:
            found = [cell.strip().lower() for cell in cells]
            headings = found if set(found) >= _NEEDED else []
        elif any(cells):
            place = f"sheet {sheet}, row {number}" if sheet else f"row {number}"
            yield FilledRow(place, dict(zip(headings, (cell.strip() for cell in cells), strict=False)))


def _csv(path: Path, content: bytes) -> list[list[str]]:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = content.decode("cp1252", "replace")  # as older spreadsheets save it
    first = text.partition("\n")[0]
    mark = max(",;\t", key=first.count)
    try:
        return list(csv.reader(io.StringIO(text, newline=""), delimiter=mark))
    except csv.Error as error:
        raise _unreadable(path, f"it is not a CSV file: {error}") from None


def _workbook(path: Path, content: bytes) -> Mapping[str, list[list[str]]]:
    import warnings
    from zipfile import BadZipFile, ZipFile

    import openpyxl

    try:
        if sum(entry.file_size for entry in ZipFile(io.BytesIO(content)).infolist()) > MAX_UNPACKED:
            raise ValueError("unpacked it is too large")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of parts of a workbook that hold no cells
            book = openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=True)
            return {
                sheet.title: [["" if v is None else str(v) for v in row] for row in _limited(sheet)]
                for sheet in book.worksheets
            }
    except (BadZipFile, KeyError, ValueError, OSError, TypeError, SyntaxError) as error:
        raise _unreadable(path, f"it is not a workbook: {error}") from None


def _limited(sheet: Any) -> Iterable[tuple[object, ...]]:
    return sheet.iter_rows(values_only=True, max_row=MAX_ROWS, max_col=50)


def _unreadable(path: Path, message: str) -> Unreadable:
    return Unreadable(str(path), [Problem(1, 1, "", message)])
