"""A CSV file as spreadsheets write it -> its rows."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Collection

from reviewer.reading.spreadsheets.sheet_rows import (
    LONGEST_CELL,
    MOST_COLUMNS,
    MOST_ROWS,
    SheetRow,
    Spreadsheet,
    TableError,
)

_DELIMITERS = (";", ",", "\t")
#: the first line with which some spreadsheets say what stands between cells
_SEPARATOR = re.compile(r"sep=([;,\t|])\r?\n", re.IGNORECASE)
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ufffe\uffff]")
#: lines that are looked at to see what stands between cells
_LOOKED_AT = 50


def csv_sheet(content: bytes, file: str, heads: Collection[str]) -> Spreadsheet:
    """The rows of a CSV file; what stands between cells is what shows most of the ``heads`` that the
    design names. Raises :class:`TableError`."""
    text = _decoded(content, file)
    lines = list(io.StringIO(text, newline=""))
    said = _SEPARATOR.match(text)
    skipped = 1 if said else 0
    delimiter = said[1] if said else _delimiter(lines[:_LOOKED_AT], heads)
    rows: list[SheetRow] = []
    first = skipped
    cell = re.compile(rf'"(?:[^"]|"")*"[^{delimiter}\r\n]*|[^{delimiter}\r\n]*')
    reader = csv.reader(lines[skipped:], delimiter=delimiter, strict=True)
    number = skipped
    try:
        for number, cells in enumerate(reader, 1 + skipped):
            last = reader.line_num + skipped
            if any(cells):
                rows.append(SheetRow(number, tuple(cells), _spots(lines, first, last, cells, cell)))
                if len(cells) > MOST_COLUMNS and any(cells[MOST_COLUMNS:]):
                    raise TableError(f"row {number} of `{file}` has more than {MOST_COLUMNS} columns")
                if any(len(c) > LONGEST_CELL for c in cells):
                    raise TableError(
                        f"a cell of row {number} of `{file}` has over {LONGEST_CELL:,} characters"
                    )
            if number > MOST_ROWS:
                raise TableError(f"`{file}` has more than {MOST_ROWS:,} rows")
            first = last
    except csv.Error as error:
        said_of = "a quote is not closed" if "unexpected end" in str(error) else str(error)
        line = first + 1 if "unexpected end" in str(error) else reader.line_num + skipped
        raise TableError(
            f"`{file}` is not well-formed from line {line} on: {said_of}; save it as CSV once more"
        ) from None
    return Spreadsheet(file, "", rows)


def _decoded(content: bytes, file: str) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise TableError(f"`{file}` is UTF-16 text; save it as CSV in UTF-8")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise TableError(f"line {line} of `{file}` is not UTF-8 text; save it as CSV in UTF-8") from None
    if control := _CONTROL.search(text):
        line = text.count("\n", 0, control.start()) + 1
        raise TableError(
            f"line {line} of `{file}` holds the character U+{ord(control[0]):04X}, which no table has"
        )
    return text


def _delimiter(lines: list[str], heads: Collection[str]) -> str:
    best, most = ",", -1
    for delimiter in _DELIMITERS:
        found = 0
        try:
            for cells in csv.reader(lines, delimiter=delimiter):
                found = max(found, len(set(heads) & {" ".join(c.split()) for c in cells}))
        except csv.Error:
            continue
        if found > most:
            best, most = delimiter, found
    if most < 1:
        text = "".join(lines)
        best = max(reversed(_DELIMITERS), key=text.count)
    return best


def _spots(
    lines: list[str], first: int, last: int, cells: list[str], pattern: re.Pattern[str]
) -> list[tuple[int, int]]:
    """Line and column of each cell of a record, which has the lines from ``first`` on."""
    line = lines[first]
    if last - first == 1 and '"' not in line:
        spots, at = [], 1
        for text in cells:
            spots.append((first + 1, at))
            at += len(text) + 1
        return spots
    record, spots, at = "".join(lines[first:last]), [], 0
    for _ in cells:
        before = record.count("\n", 0, at)
        spots.append((first + 1 + before, at - record.rfind("\n", 0, at)))
        found = pattern.match(record, at)
        at = min((found.end() if found else at) + 1, len(record))
    return spots
