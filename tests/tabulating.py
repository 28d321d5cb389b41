"""A design as plain data with its loads and wires, as far as lists can say them, in tables beside it."""

from __future__ import annotations

import csv
import io
import re
from random import Random
from typing import Any

import xlsxwriter

from reviewer.reading.circuits.kinds_in_line import CONSUMERS, PROTECTORS, WIRE, vocabulary
from reviewer.reading.spreadsheets.cells import CellError, name_in, quantity_in
from reviewer.reading.spreadsheets.columns import known_columns

Data = dict[str, Any]
Rows = list[dict[str, str]]
#: how a person may head the column of a key
_HEADS = {
    "gauge": "AWG",
    "length": "Length of run",
    "from": "From",
    "to": "To",
    "amperes": "Draw",
    "load": "Equipment",
}


def tabulated(data: Data, draw: Random, ext: str = "csv") -> tuple[Data, dict[str, bytes]]:
    """The design with two tables, and the tables by name."""
    parts, wires = dict(data["parts"]), dict(data["wires"])
    loads: Rows = []
    for name, part in list(parts.items()):
        if (row := _load(name, part)) is not None:
            guard = _guard(name, parts, wires)
            loads.append(row | (_protection(guard, parts.pop(guard)) if guard else {}))
            del parts[name]
    listed = [{"number": n} | row for n, w in wires.items() if (row := _wire(n, w)) is not None]
    draw.shuffle(listed)
    tables, files = [], {}
    for kind, rows in (("loads", loads), ("wires", listed)):
        keys = list(dict.fromkeys(k for row in rows for k in row))
        if not rows:
            continue
        name = f"{kind}.{ext}"
        heads = {k: _HEADS.get(k, k.upper()) for k in draw.sample(keys, len(keys))}
        grid = [["The list"], [], ["", *heads.values(), "Remarks"]]
        grid += [["", *(row.get(k, draw.choice(("", "-"))) for k in heads), ""] for row in rows]
        files[name] = as_csv(grid, draw) if ext == "csv" else as_workbook(grid)
        table = {"file": name, "list": kind, "columns": heads}
        tables.append(table | ({"wires": "elsewhere"} if kind == "loads" else {}))
    left = {n: w for n, w in wires.items() if n not in {row["number"] for row in listed}}
    return {**data, "parts": parts, "wires": left, "tables": tables}, files


def as_csv(grid: list[list[str]], draw: Random) -> bytes:
    """A table as one of the spreadsheets writes it."""
    text = io.StringIO(newline="")
    delimiter, end = draw.choice(",;\t"), draw.choice(("\r\n", "\n"))
    csv.writer(text, delimiter=delimiter, lineterminator=end).writerows(grid)
    return text.getvalue().encode(draw.choice(("utf-8", "utf-8-sig")))


def as_workbook(grid: list[list[str]]) -> bytes:
    """A table as a workbook of one sheet."""
    made = io.BytesIO()
    with xlsxwriter.Workbook(made, {"in_memory": True, "strings_to_formulas": False}) as book:
        sheet = book.add_worksheet()
        for number, row in enumerate(grid):
            for column, text in enumerate(row):
                if text:
                    sheet.write_string(number, column, text)
    return made.getvalue()


def _load(name: str, part: Any) -> Data | None:
    if not isinstance(part, dict) or part.get("kind") not in CONSUMERS or not _is_name(name):
        return None
    row = {"load": name, "kind": part["kind"]}
    for key, value in part.items():
        column = "amperes" if key in ("current", "power") else key
        if key == "kind":
            continue
        if column in row or (text := _text(column, value, "loads", part["kind"])) is None:
            return None
        row[column] = text
    return row


def _wire(name: str, wire: Any) -> Data | None:
    if not isinstance(wire, dict) or not _is_name(name) or not {"from", "to"} <= wire.keys():
        return None
    row = {}
    for key, value in wire.items():
        text = _text(key, value, "wires", WIRE)
        if text is None or (key in ("from", "to") and not re.fullmatch(r"[^.+]+\.[^.+]+", text)):
            return None
        row[key] = text
    return row


def _text(key: str, value: Any, kind: str, what: str) -> str | None:
    """What a cell says of a value; None where it cannot."""
    dimensions = known_columns(kind).get(key)
    if dimensions is None:
        return None
    if dimensions:
        try:
            quantity_in(value, dimensions, "", False)
        except (CellError, AttributeError, TypeError):
            return None
        return str(value)
    form = vocabulary(what).keys.get(key, "text")
    if form == "flag" and isinstance(value, bool):
        return "yes" if value else "no"
    if form == "count" and type(value) is int:
        return str(value)
    if (
        form == "list"
        and isinstance(value, list)
        and value
        and all(_plain(v) and not set(v) & set(",;") for v in value)
    ):
        return ", ".join(value)
    return value if form == "text" and _plain(value) else None


def _plain(value: Any) -> bool:
    """Whether a cell gives a text back as it is."""
    return (
        isinstance(value, str)
        and value not in ("", "-", "--", "–", "—")
        and value == " ".join(value.split())
        and value.isprintable()
        and len(value) < 300
    )


def _is_name(name: str) -> bool:
    try:
        return _plain(name) and "." not in name and bool(name_in(name, "part"))
    except CellError:
        return False


def _guard(load: str, parts: Data, wires: Data) -> str:
    """The protection whose load side feeds a load, where a list can say it."""
    for wire in wires.values():
        guard, _, out = str(wire.get("from")).partition(".") if isinstance(wire, dict) else ("", "", "")
        part = parts.get(guard)
        fits = isinstance(part, dict) and part.get("kind") in PROTECTORS and out == "load" and _is_name(guard)
        if fits and str(wire.get("to")).partition(".")[0] == load and _sayable(part):
            return guard
    return ""


def _sayable(part: Data) -> bool:
    keys = vocabulary(part["kind"]).keys
    return "label" in part and all(
        k in ("kind", "plugged-on")
        or (
            keys.get(k) in ("text", "flag")
            and re.fullmatch(r"[\w .~-]+", str(v))
            and _plain(str(v))
            and not isinstance(v, list)
        )
        for k, v in part.items()
    )


def _protection(name: str, part: Data) -> dict[str, str]:
    rest = {k: v for k, v in part.items() if k not in ("kind", "label", "rating", "plugged-on")}
    items = ", ".join(
        f"{k} {str(v).lower()}" if isinstance(v, bool) else f'{k} "{v}"' for k, v in rest.items()
    )
    row = {
        "protection": f"{part['kind']} ({items})" if items else part["kind"],
        "protection-name": name,
        "protection-label": part["label"],
    }
    row |= {"rating": part["rating"]} if "rating" in part else {}
    return row | ({"bus": part["plugged-on"]} if "plugged-on" in part else {})
