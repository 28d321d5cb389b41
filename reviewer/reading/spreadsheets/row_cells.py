"""The named cells of one row, each with its place, and what is wrong with them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reviewer.model.places import Spot
from reviewer.model.spreadsheet_tables import Table
from reviewer.reading.circuits.figures import Figure
from reviewer.reading.circuits.kinds_in_line import vocabulary
from reviewer.reading.circuits.names_in_line import may_be_made
from reviewer.reading.circuits.path_nodes import PlaceNode
from reviewer.reading.circuits.wire_numbers import letter_number_name
from reviewer.reading.scalar import plain_scalar
from reviewer.reading.spreadsheets.cells import CellError, flag_in, is_empty, name_in, quantity_in
from reviewer.reading.spreadsheets.columns import FOR_ALL, Columns, known_columns
from reviewer.reading.spreadsheets.sheet_rows import SheetRow, Spreadsheet

#: what is said of a row of totals or a line between two groups
NOT_OF_THE_LIST = "if it is not part of the list, leave it out with `rows: FIRST to LAST`"


@dataclass
class TableAsRead:
    """A table with its sheet, where its columns are, and where in the design file it is declared;
    ``constants`` are the places of what it says for all its rows."""

    table: Table
    sheet: Spreadsheet
    columns: Columns
    at: str
    constants: Mapping[str, Spot]

    @cached_property
    def poles(self) -> bool:
        """Whether the list marks a pole by a plus, so that a dash is the other one."""
        found = [i for key, i in self.columns.index.items() if key.endswith("-terminal")]
        return any(row.text(i) == "+" for row in self.columns.rows for i in found)


MORE_CELLS = "this row has more cells than there are heads; put text with a comma in quotes"
#: columns whose names a row makes
_MADE = ("load", "switch", "protection-name", "number")


class RowCells:
    """One row of a table. ``whole`` is False once a cell has a mistake."""

    def __init__(self, read: TableAsRead, row: SheetRow, tell: Callable[[Spot, str], None]):
        self.read, self.row, self._tell = read, row, tell
        self.said, self.whole = "", True
        self._blamed: set[int] = set()

    def empty(self) -> bool:
        """Whether none of the named cells says anything."""
        return all(
            is_empty(self.row.text(i)) and i not in self.row.mistakes
            for i in self.read.columns.index.values()
        )

    def beyond(self) -> Spot | None:
        """Where a row of text goes on after the last head; a spreadsheet makes all rows of one length."""
        width = self.read.columns.width
        more = [i for i, text in enumerate(self.row.cells) if i >= width and text.strip()]
        return self.read.sheet.place(self.row, more[0]) if more and self.row.spots else None

    def may_be_made(self) -> set[str]:
        """Names of what the row makes, whatever its mistakes."""
        own = {self.text(key) for key in _MADE if key in self.read.columns.index}
        names = {
            n for key in ("load", "number") if (n := self.text(key) if key in self.read.columns.index else "")
        }
        return own | {one for name in names for one in may_be_made(letter_number_name(name)[2])}

    def index(self, key: str) -> int:
        """The index of a cell; a number below 0 for what the table says of all its rows."""
        found = self.read.columns.index.get(key)
        return found if found is not None else -1 - (FOR_ALL.index(key) if key in FOR_ALL else len(FOR_ALL))

    def place(self, index: int) -> Spot:
        """Where a cell stands."""
        columns = self.read.columns
        if index < 0:
            key = FOR_ALL[-1 - index] if -index <= len(FOR_ALL) else ""
            if key in self.read.constants:
                return self.read.constants[key]
            index = min(columns.index.values())
        return self.read.sheet.place(self.row, index, columns.head_at.get(index, ""))

    def blamed(self, key: str) -> bool:
        """Whether a mistake of the cell was said."""
        return self.index(key) in self._blamed

    def say(self, key: str, message: str) -> None:
        """A mistake of a cell."""
        self.whole = False
        self._blamed.add(self.index(key))
        self._tell(self.place(self.index(key)), self.said + message)

    def text(self, key: str) -> str:
        """The text of a cell, or what it stands for; empty where it says nothing."""
        index = self.read.columns.index.get(key)
        if index is None:
            return (
                str(getattr(self.read.table, {"return": "return_"}.get(key, key)) or "")
                if key in FOR_ALL
                else ""
            )
        if index in self.row.mistakes:
            if index not in self._blamed:
                self.say(key, self.row.mistakes[index])
            return ""
        text = " ".join(self.row.text(index).split())
        text = self.read.table.words.get(text, text)
        return "" if is_empty(text) else text

    def name(self, key: str, what: str) -> str:
        """A name; empty for none."""
        text = self.text(key)
        try:
            return name_in(text, what) if text else ""
        except CellError as error:
            self.say(key, str(error))
            return ""

    def place_node(self, key: str, what: str, terminal: str = "") -> PlaceNode | None:
        """A place as ``part`` or ``part.terminal``; None for none."""
        name, _, own = self.name(key, what).partition(".")
        if terminal and (told := self._terminal(terminal)):
            if own and told != "-":
                self.say(terminal, f"`{name}.{own}` says the terminal already; take one of the two out")
            own = own or told
        return PlaceNode(self.index(key), name.strip(), own.strip()) if name else None

    def _terminal(self, key: str) -> str:
        """The terminal of a cell. A dash is the negative pole where the list has a plus."""
        index = self.read.columns.index.get(key, -1)
        dash = index >= 0 and self.row.text(index) in ("-", "–")
        return self.text(key) or ("-" if dash and self.read.poles else "")

    def quantity(self, key: str) -> tuple[Figure, str] | None:
        """A figure with its dimension; None for none."""
        text = self.text(key)
        if not text:
            return None
        columns, table = self.read.columns, self.read.table
        try:
            value, dimension = quantity_in(
                text, known_columns(table.list_)[key], columns.units.get(key, ""), table.decimal == "comma"
            )
        except CellError as error:
            self.say(key, str(error))
            return None
        return Figure(value, self.index(key)), dimension

    def figures(self, *keys: str) -> dict[str, Figure]:
        """Those of some figures that the row has; a key may be written ``column:key``."""
        found = {}
        for both in keys:
            column, _, key = both.partition(":")
            if quantity := self.quantity(column):
                found[key or column] = quantity[0]
        return found

    def others(self, kind: str, taken: tuple[str, ...]) -> dict[str, Figure]:
        """What the row says under the keys of a load, an instrument or a wire itself."""
        forms = vocabulary(kind).keys
        found = {}
        for key in self.read.columns.index:
            if key in taken or not (text := self.text(key)):
                continue
            if known_columns(self.read.table.list_)[key]:
                found.update(self.figures(key))
            else:
                found[key] = Figure(_value(text, forms.get(key, "text")), self.index(key))
        return found


def _value(text: str, form: str) -> Any:
    if form == "flag":
        return flag_in(text)
    if form == "count":
        return plain_scalar(text)
    if form == "list":
        return [t for t in (t.strip() for t in text.replace(";", ",").split(",")) if t]
    return text
