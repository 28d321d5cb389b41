"""Cards that were filled in, as CSV or as a workbook -> what stands in each row under its heading."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from reviewer.model.record import record
from reviewer.reading.problem import UnreadableCards, of_file
from reviewer.reading.spreadsheets.csv_sheet import csv_sheet
from reviewer.reading.spreadsheets.sheet_rows import Spreadsheet, TableError

#: the most that is read of a file
MAX_BYTES = 20_000_000
#: the headings that a sheet of cards has, and those under which readings stand
_NEEDED = frozenset({"card", "step", "look at"})
READING = ("measured", "reading")
#: what holds cards
_CARDS = "power-up-cards.csv or test-cards.csv of a handoff folder, or its schedules.xlsx, filled in"
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
    """The rows of every sheet of cards. Raises :class:`UnreadableCards`."""
    try:
        content = path.read_bytes() if path.stat().st_size <= MAX_BYTES else b""
    except FileNotFoundError:
        raise _unreadable(path, f"there is no such file; name {_CARDS}") from None
    except OSError as error:
        raise _unreadable(path, f"it cannot be read: {error.strerror or error}") from None
    except ValueError as error:
        raise _unreadable(path, f"it cannot be read: {error}") from None
    if not content:
        raise _unreadable(path, f"it is empty or larger than {MAX_BYTES // 1_000_000} MB")
    try:
        sheets = _sheets(content, path.name)
        rows = tuple(row for sheet in sheets for row in _rows(sheet))
    except TableError as error:
        raise _unreadable(path, str(error)) from None
    if not rows:
        lacking = _lacking(sheets)
        said = f"the headings have no {lacking}" if lacking else "no sheet has the headings of a card"
        raise _unreadable(path, f"{said}; name {_CARDS}")
    return rows


def _lacking(sheets: Sequence[Spreadsheet]) -> str:
    """The headings that the row lacks that has most of those of a card; "" where none has two of them."""
    had = [{cell.strip().lower() for cell in row.cells} for sheet in sheets for row in sheet.rows]
    best = max(had, key=lambda found: len(found & _NEEDED), default=set())
    lacking = sorted(f"`{heading}`" for heading in _NEEDED - best)
    if best.isdisjoint(READING):
        lacking.append(" or ".join(f"`{heading}`" for heading in READING))
    return " and no ".join(lacking) if len(best & _NEEDED) > 1 else ""


def _sheets(content: bytes, file: str) -> list[Spreadsheet]:
    if not content.startswith(_ZIP):
        return [csv_sheet(content, file, _NEEDED)]
    from reviewer.reading.spreadsheets.workbook_sheet import workbook_sheets

    return workbook_sheets(content, file)


def _rows(sheet: Spreadsheet) -> Iterator[FilledRow]:
    headings: list[str] = []
    for row in sheet.rows:
        if not headings:
            found = [cell.strip().lower() for cell in row.cells]
            headings = found if set(found) >= _NEEDED and not set(found).isdisjoint(READING) else []
        else:
            place = f"sheet {sheet.sheet}, row {row.number}" if sheet.sheet else f"row {row.number}"
            yield FilledRow(place, {head: row.text(i) for i, head in enumerate(headings)})


def _unreadable(path: Path, message: str) -> UnreadableCards:
    return UnreadableCards(str(path), [of_file(message)])
