"""Tables beside the design file: what the file says of each, and what was read of it."""

from __future__ import annotations

from typing import Literal

from reviewer.model.fields import FrozenMap, Name, Piece, Text, no_entries, optional, required
from reviewer.model.record import record


class Table(Piece):
    """A load list or a wire list in a spreadsheet beside the design file."""

    file: Name = required(
        "file",
        "Its file, CSV or XLSX, in the folder of the design file. It is read and never written; of a "
        "formula the saved value is read.",
        "loads.csv",
    )
    list_: Literal["loads", "wires"] = required(
        "list",
        "What each row of it is: one of the `loads` with its feed and its return, or one of the `wires`.",
        "loads",
    )
    sheet: Name | None = optional(
        "sheet", "The sheet of a workbook; it may be left out where there is one.", "Loads"
    )
    columns: FrozenMap[Text] = required(
        "columns",
        "Which column holds what, each by its head as it stands in the table. A load list may have "
        "`load`, `bus`, `protection` (a kind with what it has, such as `breaker (zone panel)`, or a part "
        "under `parts`), `rating`, `protection-name`, `protection-label`, `circuit` (letter and number), "
        "`amperes`, `peak`, `switch`, `switch-length`, `gauge` and `length` of the feed, `return`, "
        "`return-gauge`, `return-length` and what else a load has, such as `minimum`; `kind` is load or "
        "instrument. A wire list may have `number`, `from`, `from-terminal`, `to`, `to-terminal`, `gauge`, "
        "`length`, `bundle`, `type` (words and figures of a wire) and what else a wire has.",
        {
            "load": "Equipment",
            "bus": "Bus",
            "protection": "CB/Fuse",
            "rating": "Rating (A)",
            "amperes": "Amps",
        },
        {"number": "Wire No.", "from": "From", "to": "To", "gauge": "AWG", "length": "Length (ft)"},
    )
    units: FrozenMap[Text] = optional(
        "units",
        "Units of columns whose numbers have none, in the cell or at the end of the head.",
        {"length": "ft", "gauge": "AWG"},
        default=no_entries,
    )
    words: FrozenMap[Text] = optional(
        "words",
        "What words of the table stand for, where a whole cell is such a word.",
        {"CB": "breaker", "GND": "avionics-ground"},
        default=no_entries,
    )
    rows: Text | None = optional(
        "rows", "The rows of the list, as the spreadsheet numbers them; else all below the heads.", "3 to 62"
    )
    decimal: Literal["point", "comma"] | None = optional(
        "decimal", "What stands before the decimals of its numbers; a point where it is left out.", "comma"
    )
    bus: Name | None = optional("bus", "The bus of all its loads, where no column has it.", "main-bus")
    protection: Name | None = optional(
        "protection", "The kind of circuit protection of all its loads, where no column has it.", "breaker"
    )
    return_: Name | None = optional(
        "return", "Where all its loads return to, where no column has it.", "avionics-ground"
    )
    wires: Literal["elsewhere"] | None = optional(
        "wires",
        "`elsewhere`: this load list makes no wires, a wire list or `wires` has them; its loads then need "
        "no return here, and no bus but for protection that is plugged on it.",
        "elsewhere",
    )


@record
class TableRead:
    """What was read of a table: the name of its ``file`` and ``sheet`` (empty in a CSV file), what its
    rows ``list_``, how many ``rows``, how many saved values of ``formulas``, and the heads of columns that
    were ``unread``."""

    file: str
    sheet: str
    list_: str
    rows: int
    formulas: int
    unread: tuple[str, ...]

    @property
    def limits(self) -> tuple[str, ...]:
        """What the review says of how it was read."""
        name = f"{self.file}, sheet {self.sheet}" if self.sheet else self.file
        found = []
        if self.formulas:
            cells = "1 cell" if self.formulas == 1 else f"{self.formulas} cells"
            found.append(
                f"Of {name}, {cells} held formulas; the values saved with them were read, and nothing was "
                "computed."
            )
        if self.unread:
            heads = ", ".join(self.unread[:12]) + (", ..." if len(self.unread) > 12 else "")
            found.append(f"Of {name} these columns were not read: {heads}.")
        return tuple(found)
