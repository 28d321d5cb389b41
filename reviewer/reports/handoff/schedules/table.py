"""A table that goes to a person, to a CSV file and to a sheet of a workbook alike."""

from __future__ import annotations

from dataclasses import dataclass

Cell = str | int | float


@dataclass(frozen=True)
class Table:
    """``key`` names the file, ``about`` says in a sentence what the table tells. A unit stands in the heading of its column."""

    key: str
    title: str
    about: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


def number(value: float | None, digits: int = 3) -> Cell:
    """A number as it is written in a cell; "" where none is known."""
    if value is None:
        return ""
    rounded = round(float(value), digits)
    return int(rounded) if rounded == int(rounded) else rounded


def names(values) -> str:
    """``W1, W2``."""
    return ", ".join(values)
