"""A mistake that a whole column has is said once, with the rows that have it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from reviewer.reading.problem import Problem

#: what is said of a number without a unit, whatever the number
NO_UNIT = "has no unit"
#: what is said of a decimal comma, in whatever column
COMMA = "`decimal: comma` at the table"
#: rows that are named
_SHOWN = 8


def merged(problems: Iterable[Problem]) -> list[Problem]:
    """The problems, of those that are alike in a column of a table the first."""
    first: dict[object, int] = {}
    rows: dict[int, list[int]] = {}
    found: list[Problem] = []
    for one in problems:
        if one.cell is None:
            found.append(one)
            continue
        told = one.message.partition(": ")[2] or one.message
        told = NO_UNIT if NO_UNIT in told else told
        told = COMMA if COMMA in told else told
        key = one.cell.table, one.cell.sheet, "" if told == COMMA else one.cell.letters, told
        if key in first:
            rows[first[key]].append(one.cell.row)
        else:
            first[key] = len(found)
            rows[len(found)] = []
            found.append(one)
    return [
        replace(one, message=f"{one.message}; so in {_rows(rows[at])}") if rows.get(at) else one
        for at, one in enumerate(found)
    ]


def _rows(numbers: list[int]) -> str:
    shown = ", ".join(map(str, numbers[:_SHOWN])) + (", ..." if len(numbers) > _SHOWN else "")
    return f"{len(numbers)} more row{'s' if len(numbers) > 1 else ''} ({shown})"
