"""A schedule: one table that a person, a CSV file and a sheet of a workbook get alike."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from math import ceil, floor, isinf

Cell = str | int | float
#: states that stand side by side on a sheet of paper or a wide screen
STATES_ABREAST = 25
#: points of a landscape sheet of letter size inside its margins, of a letter, and beside the text of a cell
_SHEET_WIDE, _LETTER, _CELL = 745.0, 3.35, 3.0
#: letters of a word that count, at most: a longer one is broken
_LONGEST = 30


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

    def _abreast(self, head: int, states: int) -> int:
        """How many states stand side by side: in as few parts as fit a landscape sheet, all alike."""
        widths = [max(map(_least_width, cells)) for cells in zip(self.columns, *self.rows, strict=True)]
        for parts in range(ceil(states / STATES_ABREAST), states):
            each = ceil(states / parts)
            wide = max(sum(widths[first : first + each]) for first in range(head, len(widths), each))
            if sum(widths[:head]) + wide <= _SHEET_WIDE:
                return each
        return 1

    def without(self, columns: Collection[str], more: str = "") -> Schedule:
        """The schedule without some of its columns; ``more`` is a sentence that says where they are."""
        kept = [i for i, heading in enumerate(self.columns) if heading not in columns]
        rows = tuple(tuple(row[i] for i in kept) for row in self.rows)
        about = f"{self.about} {more}".strip()
        return replace(self, about=about, columns=tuple(self.columns[i] for i in kept), rows=rows)


def _least_width(cell: Cell) -> float:
    """How narrow a cell may be in print: its longest piece, broken at spaces and after hyphens."""
    longest = max((len(piece) for piece in re.findall(r"[^\s-]+-?", str(cell))), default=0)
    return _CELL + _LETTER * min(longest, _LONGEST)


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
