"""A schedule: one table that a person, a CSV file and a sheet of a workbook get alike."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor, isinf

from reviewer.reports.schematic.lettering import length

Cell = str | int | float
#: states that stand side by side on a sheet of paper or a wide screen
STATES_ABREAST = 25
#: points of a landscape sheet of letter size inside its margins, of letters on it, and beside the text of
#: a cell: of a table by state, and of any other
_SHEET_WIDE, _LETTERS, _CELL_OF_STATE, _CELL = 745.0, 6.2, 3.0, 5.0
#: rows from which on a column with the same entry in each is printed once, above them
_SEVERAL = 5
#: how much wider headings are
_BOLD = 1.08
#: where a line may end between the name of a part and that of its terminal
BETWEEN_NAMES = re.compile(r"(?<=\.)(?=[^\W\d_])")
#: letters of a name that is never broken, at most
LONGEST_WHOLE = 40


@dataclass(frozen=True)
class Schedule:
    """``key`` names the file, ``about`` says in a sentence what it lists.

    Units stand in the column headings. Where the columns are states, ``head`` is how many stand before
    them.
    """

    key: str
    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    head: int | None = None

    @property
    def blocks(self) -> tuple[Schedule, ...]:
        """The schedule, or where its columns are more states than fit side by side, one for each part of
        them, with the columns before them in each."""
        head = self.head or 0
        states = len(self.columns) - head
        if self.head is None:
            return (self,)
        each = self._abreast(head, states)
        if each >= states:
            return (self,)
        found = []
        for first in range(head, len(self.columns), each):
            kept = (*range(head), *range(first, min(first + each, len(self.columns))))
            span = f"{self.columns[kept[head]]} to {self.columns[kept[-1]]}."
            about = f"{self.about} States {span}" if first == head else f"States {span}"
            rows = tuple(tuple(row[i] for i in kept) for row in self.rows)
            found.append(replace(self, about=about, columns=tuple(self.columns[i] for i in kept), rows=rows))
        return tuple(found)

    @property
    def constant_columns(self) -> tuple[int, ...]:
        """The numbers of the columns that have one entry in all of several rows, which print says once."""
        if self.head is not None or len(self.rows) < _SEVERAL:
            return ()
        columns = list(zip(*self.rows, strict=True))[1:]
        return tuple(i for i, cells in enumerate(columns, 1) if cells[0] != "" and len(set(cells)) == 1)

    @property
    def tight(self) -> bool:
        """Whether a landscape sheet is too narrow for its columns with every word in one line."""
        columns = enumerate(zip(self.columns, *self.rows, strict=True))
        once = self.constant_columns
        printed = [c for i, c in columns if i not in once and any(cell != "" for cell in c[1:])]
        return sum(_CELL + _width(cells) for cells in printed) > _SHEET_WIDE

    def _abreast(self, head: int, states: int) -> int:
        """How many states stand side by side: in as few parts as fit a landscape sheet, all alike."""
        columns = zip(self.columns, *self.rows, strict=True)
        widths = [_CELL_OF_STATE + _width(cells) for cells in columns]
        for parts in range(ceil(states / STATES_ABREAST), states):
            each = ceil(states / parts)
            wide = max(sum(widths[first : first + each]) for first in range(head, len(widths), each))
            if sum(widths[:head]) + wide <= _SHEET_WIDE:
                return each
        return 1

    def ending(self, columns: Collection[str]) -> Schedule:
        """The schedule with some of its columns after all others."""
        order = sorted(range(len(self.columns)), key=lambda i: self.columns[i] in columns)
        rows = tuple(tuple(row[i] for i in order) for row in self.rows)
        return replace(self, columns=tuple(self.columns[i] for i in order), rows=rows)

    def without(self, columns: Collection[str], more: str = "") -> Schedule:
        """The schedule without some of its columns; ``more`` is a sentence that says where they are."""
        kept = [i for i, heading in enumerate(self.columns) if heading not in columns]
        rows = tuple(tuple(row[i] for i in kept) for row in self.rows)
        about = f"{self.about} {more}".strip()
        return replace(self, about=about, columns=tuple(self.columns[i] for i in kept), rows=rows)


def _width(column: Sequence[Cell]) -> float:
    """The width of the longest word of a column in print, points: no name is broken at its hyphens."""
    heading, *cells = (
        [word for part in str(cell).split() for word in BETWEEN_NAMES.split(part)] for cell in column
    )
    words = {word[:LONGEST_WHOLE] for cell in cells for word in cell}
    bold = [_BOLD * length(word[:LONGEST_WHOLE], _LETTERS) for word in heading]
    return max(bold + [length(word, _LETTERS) for word in words], default=0.0)


def number(value: float | None, digits: int = 3) -> Cell:
    """A number as it is written in a cell; "" where none is known."""
    if value is None:
        return ""
    rounded = round(float(value), digits)
    return int(rounded) if rounded == int(rounded) else rounded


def minutes(seconds: float) -> Cell:
    """Seconds as minutes, rounded down to tenths as in the text: none is promised longer than it is."""
    return "unlimited" if isinf(seconds) else number(floor(seconds / 6 + 1e-6) / 10, 1)


def names(values: Iterable[str]) -> str:
    """``W1, W2``."""
    return ", ".join(values)
