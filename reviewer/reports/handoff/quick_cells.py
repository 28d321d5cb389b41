"""Sheets of a workbook whose texts and numbers are written in one step each; loaded for a workbook only."""

from __future__ import annotations

from typing import Any

from xlsxwriter.utility import xl_rowcol_to_cell_fast
from xlsxwriter.worksheet import Worksheet


class QuickCells(Worksheet):
    """Writes the same bytes as its base, which looks in every attribute of a cell for letters to escape:
    a reference, a format and the number of a text have none. Not for sheets in constant memory."""

    def _write_cell(self, row: int, col: int, cell: Any) -> None:
        kind = type(cell).__name__
        if cell.format is None or kind not in ("String", "Number"):
            super()._write_cell(row, col, cell)
            return
        begun = f'<c r="{xl_rowcol_to_cell_fast(row, col)}" s="{cell.format._get_xf_index()}"'
        if kind == "String":
            self.fh.write(f'{begun} t="s"><v>{cell.string}</v></c>')
        else:
            self.fh.write(f"{begun}><v>{cell.number:.16G}</v></c>")
