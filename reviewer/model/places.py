"""Where something stands: a line of the design file, or a cell of one of its tables."""

from __future__ import annotations

from functools import cache

#: line and column in the design file, both from 1, or a :class:`CellPlace`
Spot = tuple[int, int]


class CellPlace(tuple[int, int]):
    """A cell of a table, as line and column.

    They count from 1 in the text of a CSV file, and are the numbers of row and column in a workbook;
    ``table`` is the name of the file, ``sheet`` that of its sheet, empty in a CSV file; ``row`` and
    ``letters`` are as a spreadsheet shows them; ``head`` and ``cells`` are the head of the column and
    the texts of the row.
    """

    table: str
    sheet: str
    row: int
    letters: str
    head: str
    cells: tuple[str, ...]

    @classmethod
    def of(
        cls, spot: Spot, table: str, sheet: str, row: int, letters: str, head: str, cells: tuple[str, ...]
    ) -> CellPlace:
        """The place of a cell."""
        made = cls(spot)
        made.table, made.sheet, made.row, made.letters = table, sheet, row, letters
        made.head, made.cells = head, cells
        return made

    def __eq__(self, other: object) -> bool:
        return isinstance(other, CellPlace) and self._whole() == other._whole()

    def __hash__(self) -> int:
        return hash(self._whole())

    def _whole(self) -> tuple[object, ...]:
        return (*self, self.table, self.sheet)

    @property
    def words(self) -> str:
        """``loads.csv, row 7, column D (Amps)``."""
        sheet = f", sheet {self.sheet}" if self.sheet else ""
        head = f" ({self.head})" if self.head else ""
        return f"{self.table}{sheet}, row {self.row}, column {self.letters}{head}"


@cache
def letters_of(index: int) -> str:
    """A, B, ... Z, AA for the columns 0, 1, ... 25, 26."""
    letters, number = "", index + 1
    while number:
        number, last = divmod(number - 1, 26)
        letters = chr(ord("A") + last) + letters
    return letters


def index_of(letters: str) -> int:
    """0, 1, ... 25, 26 for the columns A, B, ... Z, AA."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1
