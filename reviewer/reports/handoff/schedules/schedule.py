"""A schedule: one table that a person, a CSV file and a sheet of a workbook get alike."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from math import ceil, floor, isinf

Cell = str | int | float
#: states that stand side by side on a sheet of paper or a wide screen
STATES_ABREAST = 25


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
        if self.head is None or states <= STATES_ABREAST:
            return (self,)
        each = ceil(states / ceil(states / STATES_ABREAST))
        found = []
        for first in range(head, len(self.columns), each):
            kept = (*range(head), *range(first, min(first + each, len(self.columns))))
            span = f"{self.columns[kept[head]]} to {self.columns[kept[-1]]}."
            about = f"{self.about} States {span}" if first == head else f"States {span}"
            rows = tuple(tuple(row[i] for i in kept) for row in self.rows)
            found.append(replace(self, about=about, columns=tuple(self.columns[i] for i in kept), rows=rows))
        return tuple(found)

    def without(self, columns: Collection[str], more: str = "") -> Schedule:
        """The schedule without some of its columns; ``more`` is a sentence that says where they are."""
        kept = [i for i, heading in enumerate(self.columns) if heading not in columns]
        rows = tuple(tuple(row[i] for i in kept) for row in self.rows)
        about = f"{self.about} {more}".strip()
        return replace(self, about=about, columns=tuple(self.columns[i] for i in kept), rows=rows)


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
