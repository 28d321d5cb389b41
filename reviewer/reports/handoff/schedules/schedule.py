"""A schedule: one table that a person, a CSV file and a sheet of a workbook get alike."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

Cell = str | int | float


@dataclass(frozen=True)
class Schedule:
    """``key`` names the file, ``about`` says in a sentence what it lists.

    Units stand in the column headings.
    """

    key: str
    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]

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


def names(values: Iterable[str]) -> str:
    """``W1, W2``."""
    return ", ".join(values)
