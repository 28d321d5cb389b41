"""The rows of a table as text, whatever file they come from."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from reviewer.model.places import CellPlace, letters_of

#: rows and columns beyond which nothing may stand, and characters of a cell
MOST_ROWS, MOST_COLUMNS, LONGEST_CELL = 20_000, 200, 5_000


class TableError(Exception):
    """A table that cannot be read; the message is one sentence."""


@dataclass
class SheetRow:
    """A row: its ``number`` in the spreadsheet and its ``cells``; ``spots`` are line and column of each
    cell in the text of a CSV file, none in a workbook; ``mistakes`` says what is wrong with a cell."""

    number: int
    cells: tuple[str, ...]
    spots: Sequence[tuple[int, int]] = ()
    mistakes: dict[int, str] = field(default_factory=dict)

    def text(self, index: int) -> str:
        """The text of a cell without blanks about it, empty for one that is not there."""
        return self.cells[index].strip() if index < len(self.cells) else ""


@dataclass
class Spreadsheet:
    """A table: its ``file`` and ``sheet``, its filled ``rows``, and the cells (row, index) that hold
    ``formulas``."""

    file: str
    sheet: str
    rows: list[SheetRow]
    formulas: set[tuple[int, int]] = field(default_factory=set)

    def place(self, row: SheetRow, index: int, head: str = "") -> CellPlace:
        """Where a cell stands; of one that a line of text lacks, the end of its line."""
        line, column = (row.number, index + 1)
        if row.spots:
            line, column = row.spots[min(index, len(row.spots) - 1)]
        letters = letters_of(index)
        return CellPlace.of((line, column), self.file, self.sheet, row.number, letters, head, row.cells)


#: takes a mistake at a place of a table
Tell = Callable[[CellPlace, str], None]
