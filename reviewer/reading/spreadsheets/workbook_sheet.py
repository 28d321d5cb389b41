"""A sheet of an XLSX workbook -> its rows. Saved values alone are read; nothing in it is run."""

from __future__ import annotations

import datetime
import io
import itertools
import re
import warnings
import zipfile
from bisect import bisect_left
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, TypeVar

from reviewer.reading.problem import nearest
from reviewer.reading.spreadsheets.sheet_rows import (
    LONGEST_CELL,
    MOST_COLUMNS,
    MOST_ROWS,
    SheetRow,
    Spreadsheet,
    TableError,
)

if TYPE_CHECKING:
    from openpyxl.workbook import Workbook

#: bytes and pieces of a workbook when it is unpacked; a list of five thousand wires has two million bytes
MOST_UNPACKED, MOST_PIECES = 25_000_000, 500
#: the last row that a spreadsheet has
_LAST_ROW = 1_048_576
_FORMULA = re.compile(rb"<(?:\w+:)?f[\s/>]")
#: entities of XML, which no spreadsheet writes
_DECLARED = re.compile(rb"<!(?:DOCTYPE|ENTITY)")
T = TypeVar("T")
_ERRORS = frozenset({"#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A"})


def workbook_sheet(content: bytes, file: str, sheet: str | None) -> Spreadsheet:
    """The rows of one sheet. Raises :class:`TableError`."""
    formulas = _unpacked(content, file)

    def one() -> Spreadsheet:
        book = _opened(content)
        return _sheet(content, book, file, _name(book, file, sheet), formulas)

    return _read(file, one)


def workbook_sheets(content: bytes, file: str) -> list[Spreadsheet]:
    """The rows of all its sheets. Raises :class:`TableError`."""
    formulas = _unpacked(content, file)

    def every() -> list[Spreadsheet]:
        book = _opened(content)
        return [_sheet(content, book, file, str(sheet.title), formulas) for sheet in book.worksheets]

    return _read(file, every)


def _opened(content: bytes, values: bool = True) -> Workbook:
    import openpyxl  # a design without workbooks does not wait for it

    return openpyxl.load_workbook(io.BytesIO(content), read_only=True, data_only=values, keep_links=False)


def _read(file: str, how: Callable[[], T]) -> T:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return how()
    except TableError:
        raise
    except Exception as error:  # a broken workbook ends in whatever its reader meets first
        said = " ".join(str(error).split())[:120] or type(error).__name__
        raise TableError(
            f"`{file}` cannot be read as a workbook: {said}; save it as XLSX once more"
        ) from None


def _unpacked(content: bytes, file: str) -> bool:
    """Whether a workbook may hold formulas. Raises :class:`TableError` for one that is none, or too
    large when it is unpacked: no more is unpacked than its own list of pieces says."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as pieces:
            listed = pieces.infolist()
            if len(listed) > MOST_PIECES or sum(p.file_size for p in listed) > MOST_UNPACKED:
                raise TableError(
                    f"`{file}` is larger than {MOST_UNPACKED:,} bytes when it is unpacked; delete the rows, "
                    "sheets and pictures that the list does not need"
                )
            formulas = False
            for piece in listed:
                if piece.filename.lower().endswith((".xml", ".rels")):
                    text = pieces.read(piece)
                    if _DECLARED.search(text):
                        raise TableError(
                            f"`{file}` declares entities, as no spreadsheet does; it was not read"
                        )
                    formulas = formulas or bool(_FORMULA.search(text))
            return formulas
    except TableError:
        raise
    except Exception:  # encrypted, cut off, or something else altogether
        raise TableError(
            f"`{file}` is not an XLSX workbook, or is a protected one; save it as XLSX without a password"
        ) from None


def _sheet(content: bytes, book: Workbook, file: str, name: str, formulas: bool) -> Spreadsheet:
    rows: list[SheetRow] = []
    found = Spreadsheet(file, name, rows)
    for number, values in _rows(book[name], file):
        mistakes: dict[int, str] = {}
        cells = tuple([_text(value, i, mistakes) for i, value in enumerate(values)])
        rows.append(SheetRow(number, cells, (), mistakes))
    if formulas:
        found.formulas = _cells(_opened(content, False)[name], ("f",))
        empty = [(r, i) for r, i in sorted(found.formulas) if not _value(rows, r, i)]
        if empty:  # a formula that gives an empty text has a value too
            texts = _cells(_opened(content)[name], ("s", "str"))
            _without_value(found, [cell for cell in empty if cell not in texts])
    return found


def _name(book: Workbook, file: str, name: str | None) -> str:
    names = [s.title for s in book.worksheets]
    if name is None and len(names) == 1:
        return str(names[0])
    have = f"it has {', '.join(names[:10])}" if names else "it has none"
    if name is None:
        which = f"which sheet of `{file}` is meant? {have[:1].upper()}{have[1:]}"
        raise TableError(f"{which}; write for example `sheet: {names[0] if names else 'Loads'}`")
    if name not in names:
        raise TableError(f"`{file}` has no sheet `{name}`{nearest(name, names)}; {have}")
    return name


def _rows(sheet: Any, file: str) -> Iterator[tuple[int, tuple[Any, ...]]]:
    """The rows that hold something, with their numbers, to the last cell that does."""
    sheet.reset_dimensions()  # what a file says of its own size may be wrong
    empty: Any = None
    for number, values in enumerate(sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True), 1):
        if number > _LAST_ROW:
            raise TableError(f"`{file}` has rows beyond {_LAST_ROW:,}, as no spreadsheet does")
        if values is empty:  # one row stands for all that the file leaves out, which may be a million
            continue
        if any(value is not None for value in values):
            if number > MOST_ROWS:
                raise TableError(f"row {number} of `{file}` is filled; rows up to {MOST_ROWS:,} are read")
            width = len(values)
            while values[width - 1] is None:
                width -= 1
            yield number, values[:width]
        else:
            empty = values


def _text(value: Any, index: int, mistakes: dict[int, str]) -> str:
    """A cell as text; a number as a person would write it."""
    if value is None:
        return ""
    if type(value) is str:
        if value in _ERRORS:
            mistakes[index] = f"the cell holds the error {value}"
        elif len(value) > LONGEST_CELL:
            mistakes[index] = f"the cell has over {LONGEST_CELL:,} characters"
            return value[:60]
        return value
    if type(value) is int:
        return str(value)
    if type(value) is float:
        return format(value, ".12g")
    if isinstance(value, (datetime.date, datetime.time, datetime.timedelta)):
        mistakes[index] = (
            "the spreadsheet has made a date or time of the cell; format the cell as text and write it again"
        )
    elif isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _cells(sheet: Any, types: tuple[str, ...]) -> set[tuple[int, int]]:
    """Row and index of the cells of some types."""
    sheet.reset_dimensions()
    rows = enumerate(sheet.iter_rows(max_col=MOST_COLUMNS), 1)
    return {
        (number, i)
        for number, cells in itertools.islice(rows, MOST_ROWS)
        for i, cell in enumerate(cells)
        if cell.data_type in types
    }


def _value(rows: list[SheetRow], number: int, index: int) -> str:
    at = bisect_left(rows, number, key=lambda row: row.number)
    return rows[at].text(index) if at < len(rows) and rows[at].number == number else ""


def _without_value(sheet: Spreadsheet, empty: list[tuple[int, int]]) -> None:
    """A formula that was never computed is a mistake of its cell."""
    rows = {row.number: row for row in sheet.rows}
    said = (
        "the formula of the cell has no saved value; open the workbook in a spreadsheet and save it, or "
        "write the value"
    )
    for number, index in empty:
        rows.setdefault(number, SheetRow(number, ())).mistakes[index] = said
    sheet.rows = [rows[number] for number in sorted(rows)]
