"""Published figures: read once from data files that carry their source, and refuse to answer
outside their range."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from reviewer.model.quantities import Gauge, awg_area_mm2
from reviewer.model.record import record

_HERE = Path(__file__).parent
_HEAD = ("title", "source", "clause", "edition", "status", "note", "unit", "range", "basis", "asked")

#: the range of a table whose rows are names
_NAMES = "the names below"


class OutsideTable(LookupError):
    """A look-up outside what the source prints. The message names the table and its range."""


@record
class Origin:
    """Where figures come from. ``source`` is a key of sources.toml; ``status`` is
    verified (the source's text was read), secondary (a text that restates it), memory or practice (the
    habit of the trade); ``note`` what the status hides; ``basis`` the conditions that the figures hold
    for; ``asked`` the words of a look-up, with its {row} and {column}; ``key`` the data file and its
    section."""

    key: str
    title: str
    source: str
    clause: str
    edition: str
    status: str
    note: str
    unit: str
    range: str
    basis: str
    asked: str = ""

    def __str__(self) -> str:
        return f"{self.title} (from memory)" if self.status == "memory" else self.title


@record
class SourcedFigure:
    """One published value with its origin. ``read_as`` is the printed row that was read where it is
    not the one asked for."""

    value: float
    origin: Origin
    read_as: str | None = None


@record
class PrintedTable:
    """One printed table: for each row as printed, one value a column."""

    origin: Origin
    columns: tuple[str, ...]
    rows: Mapping[str, tuple[float, ...]]

    def at(self, row: str, column: str | None = None, read_as: str | None = None) -> SourcedFigure:
        """The printed value; ``column`` may be left out where there is one. Raises
        :class:`OutsideTable`."""
        place = 0 if column is None else self.columns.index(column) if column in self.columns else -1
        if row not in self.rows or place < 0:
            wanted = " ".join(w for w in (column, row) if w)
            if self.origin.asked:
                wanted = self.origin.asked.format(row=row, column=column)
            has = "" if self.origin.range == _NAMES else f"; it has {self.origin.range}"
            raise OutsideTable(f"{self.origin.title} prints no value for {wanted}{has}")
        return SourcedFigure(self.rows[row][place], self.origin, read_as)

    def points(self, column: str | None = None) -> tuple[tuple[float, float], ...]:
        """The rows as (number, value), in rising order, for tables whose rows are numbers."""
        place = 0 if column is None else self.columns.index(column)
        return tuple(sorted((float(row), values[place]) for row, values in self.rows.items()))


@cache
def _read(name: str) -> dict[str, Any]:
    return tomllib.loads((_HERE / f"{name}.toml").read_text(encoding="utf-8"))


@cache
def table(name: str, section: str) -> PrintedTable:
    """A table by its data file and section. What a section does not say of its origin, the head of
    the file says. Raises KeyError."""
    file = _read(name)
    own = file[section]
    origin = Origin(f"{name}/{section}", *(own.get(word, file.get(word, "")) for word in _HEAD))
    rows = {
        row: tuple(map(float, v)) if isinstance(v, list) else (float(v),) for row, v in own["rows"].items()
    }
    return PrintedTable(
        origin, tuple(own.get("columns", file.get("columns", ("value",)))), MappingProxyType(rows)
    )


def all_tables() -> Iterator[PrintedTable]:
    """Every table of the project, in the order of the file names."""
    for path in sorted(_HERE.glob("*.toml")):
        if path.stem != "sources":
            yield from (
                table(path.stem, section)
                for section, content in _read(path.stem).items()
                if isinstance(content, dict)
            )


def protector_limit(gauge: Gauge, column: str) -> float:
    """Largest protective device, in amperes, for a wire: AC 43.13-1B Table 11-3, ``column``
    ``"breaker"`` or ``"fuse"``.

    A metric size is read as the largest printed AWG size that is no larger in area. Raises
    :class:`OutsideTable`.
    """
    printed = table("wire_protection", column).rows
    if gauge.awg is not None:
        size = gauge.awg
    else:
        fitting = [awg for awg in printed if awg_area_mm2(awg) <= gauge.area_mm2 * 1.0000001]
        size = max(fitting, key=awg_area_mm2) if fitting else ""
    if size not in printed:
        raise OutsideTable(
            f"AC 43.13-1B Table 11-3 prints no {column} value for {gauge} "
            f"(it goes from 22 AWG to {list(printed)[-1]} AWG)"
        )
    return printed[size][0]


@record
class ProtectorRow:
    """A row of Table 11-3: the wire size as written, and the largest protective device, A."""

    gauge: str
    amps: float


def deciding_row(gauge: Gauge, column: str, rating: float) -> ProtectorRow:
    """The row of Table 11-3 that decides whether a device of ``rating`` A may protect a wire.

    The row of the wire's own size, read as :func:`protector_limit` reads it. For a size that is not
    printed, the next thicker one where even that does not allow the rating, or the next thinner one
    where that does. Raises :class:`OutsideTable` where neither decides.
    """
    try:
        return ProtectorRow(str(gauge), protector_limit(gauge, column))
    except OutsideTable:
        rows = [
            (awg_area_mm2(awg), ProtectorRow(f"{awg} AWG", values[0]))
            for awg, values in table("wire_protection", column).rows.items()
        ]
        thicker = min((r for r in rows if r[0] >= gauge.area_mm2), key=lambda r: r[0], default=None)
        thinner = max((r for r in rows if r[0] <= gauge.area_mm2), key=lambda r: r[0], default=None)
        if thicker is not None and rating > thicker[1].amps:
            return thicker[1]
        if thinner is not None and rating <= thinner[1].amps:
            return thinner[1]
        raise


def protection_basis() -> str:
    """The basis of Table 11-3 in one sentence, for reports."""
    basis = table("wire_protection", "breaker").origin.basis
    return (
        f"Wire protection is judged by AC 43.13-1B Table 11-3: {basis}. "
        "Table 11-9 rests on another basis and is not used for it."
    )
