"""Tables as comma-separated values, in which a spreadsheet computes nothing."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from typing import TypeVar

from reviewer.model.quantities import UNITS
from reviewer.reports.wording import shown

Cell = TypeVar("Cell")
#: a spreadsheet computes a cell that begins with one of these, or with the wide form of one
_FORMULA = ("=", "+", "-", "@")
#: a figure with its unit, such as ``-31.05 A``: it is text to a spreadsheet, as it is no number and has
#: no operator between number and name
_UNITS = "|".join(unit for units in UNITS.values() for unit in units if unit.isalpha())
_FIGURE = re.compile(rf"-[0-9][0-9,]*(\.[0-9]+)? ({_UNITS})")


def csv_of(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """The rows under their columns (RFC 4180).

    Numbers stay numbers; every text is made :func:`harmless`.
    """
    import csv
    import io

    stream = io.StringIO()
    writer = csv.writer(stream)
    for row in (columns, *rows):
        writer.writerow([harmless(cell) for cell in row])
    return stream.getvalue()


def harmless(cell: Cell) -> Cell | str:
    """A cell as a spreadsheet may have it; what is no text stays as it is.

    Hidden characters are written as escapes, and an apostrophe stands before what would be
    computed. A figure less than 0 with its unit stays as it is.
    """
    if not isinstance(cell, str) or (cell[:1].isalnum() and cell.isprintable()) or _FIGURE.fullmatch(cell):
        return cell
    text = shown(cell)
    first = unicodedata.normalize("NFKC", text.lstrip()[:1])
    return f"'{text}" if first.startswith(_FORMULA) else text
