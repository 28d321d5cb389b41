"""The columns of a table: which keys they may have, where their heads stand, and their units."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache

from reviewer.model.fields import key_of
from reviewer.model.parts import PART_KINDS, Wire
from reviewer.model.places import letters_of
from reviewer.model.quantities import UNITS, quantity_of
from reviewer.model.spreadsheet_tables import Table
from reviewer.reading.circuits.kinds_in_line import CONSUMERS, SPELT, WIRE, vocabulary
from reviewer.reading.problem import choices, nearest
from reviewer.reading.spreadsheets.sheet_rows import SheetRow, Spreadsheet, TableError, Tell

SIZE = "size"
#: key of a column -> what a figure in it may be; names and words have nothing
LOAD_COLUMNS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("load", "bus", "protection", "protection-name", "protection-label", "circuit"), ()),
    **dict.fromkeys(("switch", "kind", "return"), ()),
    "rating": ("current",), "amperes": ("current", "power"), "peak": ("current",),
    "gauge": (SIZE,), "length": ("length",), "switch-length": ("length",),
    "return-gauge": (SIZE,), "return-length": ("length",),
}  # fmt: skip
WIRE_COLUMNS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(("number", "from", "from-terminal", "to", "to-terminal", "type"), ()),
    "gauge": (SIZE,), "length": ("length",), "bundle": (),
}  # fmt: skip
#: columns of a load list that are of its wires
OF_WIRES = ("return", "gauge", "length", "switch-length", "return-gauge", "return-length")
#: keys of a table that say for all its rows what else a column does
FOR_ALL = ("bus", "protection", "return")
_NEEDED = {"loads": ("load", "bus"), "wires": ("number", "from", "to")}
#: how units are written at the end of a head, beside the units themselves
_IN_HEADS = {
    **{w: u for w, u in SPELT.items() if w not in ("ga", "gauge", "#", "'")},
    **{w: "A" for w in ("amps", "amperage")},
    "awg": "AWG",
}
_DIMENSION_OF: dict[str, tuple[str, ...]] = {u: (d,) for d, units in UNITS.items() for u in units}
_DIMENSION_OF |= {"AWG": (SIZE,), "mm2": (SIZE,)}
_DIMENSION_OF |= {
    "m": ("length", "altitude"),
    "ft": ("length", "altitude"),
    "F": ("capacitance", "temperature"),
}
_LAST_WORD = re.compile(r"([^\s(\[/,;:]+?)[\s)\].]*$")
_ROWS = re.compile(r"\s*(\d{1,7})\s+to\s+(\d{1,7})\s*")
#: rows among which the heads are looked for
_HEAD_ROWS = 50


@dataclass
class Columns:
    """Where the columns of a table are: ``index`` of each key, the head at an index, ``units`` by key, the
    ``rows`` of the list; ``unread`` are heads that the design does not name, ``width`` the cells of the
    row of heads."""

    index: dict[str, int] = field(default_factory=dict)
    head_at: dict[int, str] = field(default_factory=dict)
    units: dict[str, str] = field(default_factory=dict)
    rows: list[SheetRow] = field(default_factory=list)
    unread: tuple[str, ...] = ()
    width: int = 0


@cache
def known_columns(kind: str) -> Mapping[str, tuple[str, ...]]:
    """The keys that a column of a list may have, with the dimensions of its figures."""
    models = {WIRE: Wire} if kind == "wires" else {k: PART_KINDS[k] for k in CONSUMERS}
    found = dict(WIRE_COLUMNS if kind == "wires" else LOAD_COLUMNS)
    for what, model in models.items():
        own = vocabulary(what).keys
        for name, about in model.model_fields.items():
            key = key_of(name)
            if key in own and own[key] != "group" and key != "current":
                quantity = quantity_of(about)
                found.setdefault(key, (quantity.dimension,) if quantity else ())
    return found


def wrong_columns(table: Table) -> Iterator[tuple[str, str]]:
    """(key within the table, sentence) of what a table says that does not fit its list."""
    known = known_columns(table.list_)
    for key in table.columns:
        if key not in known:
            told = ", ".join(
                k for k in known if k in (LOAD_COLUMNS if table.list_ == "loads" else WIRE_COLUMNS)
            )
            yield (
                f"columns/{key}",
                f"`{key}` is not a column of a list of {table.list_}"
                + (nearest(key, known) or f"; it may have {told}, and what else a {table.list_[:-1]} has"),
            )
    for key in _NEEDED[table.list_]:
        if key == "bus" and table.wires:
            continue
        if key not in table.columns and not (key in FOR_ALL and getattr(table, _attribute(key))):
            whole = f", or `{key}: NAME` for the whole table" if key in FOR_ALL else ""
            yield (
                "columns",
                f"a list of {table.list_} needs a column `{key}`{whole}; "
                f"write for example `{key}: {key.capitalize()}`",
            )
    yield from _for_all(table)
    if table.list_ == "loads" and not table.wires and not table.return_ and "return" not in table.columns:
        yield (
            "",
            "where do its loads return to? Name the column under `columns`, `return: HEAD`, or write "
            "`return: PLACE` for the whole table",
        )
    if table.wires and (given := [k for k in OF_WIRES if k in table.columns]):
        yield (
            f"columns/{given[0]}",
            f"this table makes no wires (`wires: elsewhere`); take `{given[0]}` out of `columns`",
        )
    for key, unit in table.units.items():
        if key not in table.columns:
            yield f"units/{key}", f"`{key}` is not a column of this table{nearest(key, table.columns)}"
        elif not set(_DIMENSION_OF.get(unit, ())) & set(known.get(key, ())):
            fit = [u for u, d in _DIMENSION_OF.items() if set(d) & set(known.get(key, ()))]
            yield (
                f"units/{key}",
                f"`{unit}` is not a unit of `{key}`; "
                + (f"it may be {choices(fit)}" if fit else "it has none"),
            )
    if table.rows is not None and _span(table.rows) is None:
        yield (
            "rows",
            f"`rows` is `{table.rows}`; write the first and the last row of the list, for example "
            "`rows: 3 to 62`",
        )


def _for_all(table: Table) -> Iterator[tuple[str, str]]:
    for key in (*FOR_ALL, "wires"):
        if getattr(table, _attribute(key)) is None:
            continue
        if table.list_ == "wires":
            yield key, f"`{key}` belongs to a list of loads"
        elif key in table.columns:
            yield (
                key,
                f"`{key}` stands here for the whole table, and a column holds it too; take one of them out",
            )


def _attribute(key: str) -> str:
    return {"return": "return_"}.get(key, key)


def _span(text: str) -> tuple[int, int] | None:
    match = _ROWS.fullmatch(text)
    return (int(match[1]), int(match[2])) if match and 0 < int(match[1]) <= int(match[2]) else None


def plain_head(text: str) -> str:
    """A head with single blanks: spreadsheets break long ones."""
    return " ".join(text.split())


def columns_of(table: Table, sheet: Spreadsheet, tell: Tell) -> Columns:
    """Where the columns of a table are. Raises :class:`TableError` where no row has its heads."""
    wanted = {key: plain_head(head) for key, head in table.columns.items()}
    span = _span(table.rows) if table.rows is not None else None
    row = _head_row(sheet, set(wanted.values()), span)
    heads = [plain_head(text) for text in row.cells]
    missing = [head for head in wanted.values() if head not in heads]
    if missing:
        raise TableError(_no_head(missing, [h for h in heads if h], row, sheet))
    found = Columns(width=len(row.cells))
    for key, head in wanted.items():
        at = [i for i, one in enumerate(heads) if one == head]
        if len(at) > 1:
            places = " and ".join(letters_of(i) for i in at)
            tell(
                sheet.place(row, at[1], head),
                f"the head `{head}` stands in the columns {places}; give one of them another",
            )
        found.index[key] = at[0]
        found.head_at[at[0]] = head
        unit = table.units.get(key) or unit_of_head(head, known_columns(table.list_).get(key, ()))
        if unit:
            found.units[key] = unit
    first, last = span or (row.number + 1, 10**9)
    found.rows = [r for r in sheet.rows if max(first, row.number + 1) <= r.number <= last]
    found.unread = tuple(h for h in heads if h and h not in wanted.values())
    if not found.rows:
        raise TableError(
            f"`{sheet.file}` has no rows below its heads" + (f" in `rows: {table.rows}`" if span else "")
        )
    return found


def _head_row(sheet: Spreadsheet, wanted: set[str], span: tuple[int, int] | None) -> SheetRow:
    """The first row with the most of the heads that are named."""
    above = [r for r in sheet.rows[:_HEAD_ROWS] if span is None or r.number < span[0]]
    if not above:
        raise TableError(
            f"`{sheet.file}` is empty"
            if not sheet.rows
            else f"no row of `{sheet.file}` with heads stands above its first row; correct `rows`"
        )
    return max(above, key=lambda r: len(wanted & {plain_head(c) for c in r.cells}))


def _no_head(missing: list[str], heads: list[str], row: SheetRow, sheet: Spreadsheet) -> str:
    near = nearest(missing[0], heads)
    said = f"`{sheet.file}` has no column with the head `{missing[0]}`{near}"
    if len(missing) > 1:
        said += f", nor {choices(missing[1:6])}"
    cut = next((h for h in heads if h.startswith(f"{missing[0]} #")), "")
    if cut:
        return f'{said}; ` #` begins a comment, so put the head in quotes: `"{cut}"`'
    shown = ", ".join(heads[:15]) + (", ..." if len(heads) > 15 else "")
    return f"{said}; row {row.number} has {shown or 'no heads'}"


def unit_of_head(head: str, dimensions: tuple[str, ...]) -> str:
    """The unit at the end of a head such as ``Length (ft)``, ``Rating [A]`` or ``Amps``; "" for none."""
    match = _LAST_WORD.search(head)
    word = match[1] if match else ""
    unit = word if word in _DIMENSION_OF else _IN_HEADS.get(word.lower(), "")
    return unit if set(_DIMENSION_OF.get(unit, ())) & set(dimensions) else ""
