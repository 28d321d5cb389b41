"""``tables`` of a design file -> the lines of their rows."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from reviewer.model.places import Spot
from reviewer.model.spreadsheet_tables import Table, TableRead
from reviewer.reading.beside import FilesBeside, NotBeside
from reviewer.reading.circuits.line import Line
from reviewer.reading.collector import Collector
from reviewer.reading.problem import Problem, problem_at, shown
from reviewer.reading.sizes import MOST_TABLES
from reviewer.reading.spreadsheets.columns import FOR_ALL, columns_of, plain_head, wrong_columns
from reviewer.reading.spreadsheets.csv_sheet import csv_sheet
from reviewer.reading.spreadsheets.load_rows import LoadListRow
from reviewer.reading.spreadsheets.row_cells import MORE_CELLS, RowCells, TableAsRead
from reviewer.reading.spreadsheets.sheet_rows import Spreadsheet, TableError
from reviewer.reading.spreadsheets.wire_rows import wire_line
from reviewer.reading.spreadsheets.workbook_sheet import workbook_sheet
from reviewer.reading.unread_names import UnreadNames
from reviewer.reading.yaml_events import Places, Refused

SUFFIXES = (".csv", ".tsv", ".xlsx")


class TableReader:
    """Reads the tables of a design from ``files``; ``found`` tells what was read of each. ``failed`` is
    True where one could not be read, so that what it makes is not known."""

    def __init__(
        self,
        data: dict[str, Any],
        values: Places,
        keys: Places,
        problems: list[Problem],
        files: FilesBeside,
    ):
        self.data, self.values, self.problems, self.files = data, values, problems, files
        self.collector = Collector(values, keys, problems)
        self.found: list[TableRead] = []
        self.failed = False

    def lines(self, known: Collection[str], unread: UnreadNames) -> list[Line]:
        """The lines of all rows. ``known`` are names of parts that are made elsewhere; ``unread`` takes
        those of rows with a mistake."""
        written = self.data.get("tables", [])
        if not isinstance(written, list) or len(written) > MOST_TABLES:
            self.failed = True
            if written is not Refused:
                many = isinstance(written, list)
                found = f"{len(written)} tables; {MOST_TABLES} is the most" if many else shown(written)
                self.collector.say(
                    "tables",
                    f"expected a list, `tables: [{{file: loads.csv, list: loads, ...}}]`, found {found}",
                )
            return []
        lines: list[Line] = []
        for number, entry in enumerate(written):
            at = f"tables/{number}"
            before = len(self.problems)
            read = self._table(at, entry)
            if read is None:
                self.failed = self.failed or len(self.problems) > before
                continue
            for row in read.columns.rows:
                cells = RowCells(read, row, lambda spot, said, at=at: self._tell(spot, at, said))  # type: ignore[misc]
                if cells.empty():
                    continue
                if (beyond := cells.beyond()) is not None:
                    self._tell(beyond, at, MORE_CELLS)
                    cells.whole = False
                line = self._line(cells, known)
                if line is not None:
                    lines.append(line)
                if not cells.whole:
                    unread |= cells.may_be_made()
            self.found.append(_told(read))
        unread.any_name = unread.any_name or self.failed
        return [] if self.failed else lines

    def _line(self, cells: RowCells, known: Collection[str]) -> Line | None:
        if cells.read.table.list_ == "wires":
            return wire_line(cells)
        declared = self.data.get("parts")
        return LoadListRow(cells, known, declared if isinstance(declared, dict) else {}).line()

    def _tell(self, spot: Spot, at: str, message: str) -> None:
        self.problems.append(problem_at(spot, at, message))

    def _table(self, at: str, entry: Any) -> TableAsRead | None:
        before = len(self.problems)
        table = self.collector.piece(Table, entry, at, "table")
        if entry is Refused or len(self.problems) > before or table is None:
            self.failed = True
            return None
        for key, said in wrong_columns(table):
            self.collector.say(f"{at}/{key}" if key else at, f"table {table.file}: {said}")
        if len(self.problems) > before:
            return None
        try:
            sheet = self._sheet(table)
        except TableError as error:
            self.collector.say(f"{at}/file", str(error))
            return None
        try:
            columns = columns_of(table, sheet, lambda spot, said: self._tell(spot, at, said))
        except TableError as error:
            self.collector.say(f"{at}/columns", str(error))
            return None
        if len(self.problems) > before:
            return None
        places = {key: self.values[f"{at}/{key}"] for key in FOR_ALL if f"{at}/{key}" in self.values}
        return TableAsRead(table, sheet, columns, at, places)

    def _sheet(self, table: Table) -> Spreadsheet:
        if not table.file.lower().endswith(SUFFIXES):
            raise TableError(f"`{table.file}` is not a table that can be read; save it as CSV or XLSX")
        try:
            content = self.files.read(table.file)
        except NotBeside as error:
            raise TableError(str(error)) from None
        if table.file.lower().endswith(".xlsx"):
            return workbook_sheet(content, table.file, table.sheet)
        if table.sheet is not None:
            raise TableError(f"`{table.file}` has no sheets; take `sheet` out")
        return csv_sheet(content, table.file, {plain_head(h) for h in table.columns.values()})


def _told(read: TableAsRead) -> TableRead:
    used, rows = set(read.columns.index.values()), {row.number for row in read.columns.rows}
    formulas = sum(row in rows and index in used for row, index in read.sheet.formulas)
    sheet = read.sheet
    return TableRead(sheet.file, sheet.sheet, read.table.list_, len(rows), formulas, read.columns.unread)
