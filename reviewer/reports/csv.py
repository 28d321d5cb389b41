"""Tables as comma-separated values that a spreadsheet may open: nothing in them is computed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence


def csv_of(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """The rows under their columns, after RFC 4180; numbers stay numbers, and a text that a spreadsheet would compute begins with an apostrophe."""
    import csv
    import io

    stream = io.StringIO()
    writer = csv.writer(stream)
    writer.writerow(columns)
    writer.writerows([defused(cell) if isinstance(cell, str) else cell for cell in row] for row in rows)
    return stream.getvalue()


def defused(cell: str) -> str:
    """The cell, with an apostrophe before what a spreadsheet would compute."""
    return f"'{cell}" if cell.startswith(("=", "+", "-", "@")) else cell
