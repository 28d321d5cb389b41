"""Designs with tables beside them: loads and wires as lists, cells that are meant to do harm, and files that are hardly tables."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from random import Random

from reviewer.reading import Unreadable
from reviewer.reading.yaml_events import load
from tests.fuzz.hostile import NUMBERS, WORDS
from tests.tabulating import tabulated

#: how the names of tables begin
TABLES = ("loads.", "wires.")
_CELLS = (
    *WORDS,
    *(n for n in NUMBERS if isinstance(n, str)),
    "-",
    "yes",
    "5,5 A",
    "5 to",
    "=1+1",
    "CB",
    "1e999",
    "~",
    '"',
    "a\nb",
)


def tables_of(draw: Random, content: bytes) -> dict[str, bytes]:
    """The design of a file with its loads and wires in tables, by name, as far as it can be parsed; most are changed."""
    try:
        data = load(content, "design.yaml")[0]
        made, files = tabulated(json.loads(json.dumps(data)), draw, draw.choice(("csv", "csv", "xlsx")))
        if draw.random() < 0.2 and made["tables"]:
            table = draw.choice(made["tables"])
            table[draw.choice(("file", "rows", "return", "bus", "decimal", "sheet", "list"))] = draw.choice(
                _CELLS
            )
        text = json.dumps(made)
    except (Unreadable, ValueError, TypeError, KeyError, AttributeError):
        return {}  # hardly a design: it stays as it is
    return {"design.yaml": text.encode("utf-8", "surrogatepass")} | {
        n: _changed(draw, c) for n, c in files.items()
    }


def _changed(draw: Random, content: bytes) -> bytes:
    how = draw.random()
    if how < 0.4:
        return content
    if content.startswith(b"PK"):
        return other_octets(draw, content) if how < 0.6 else _sheet(draw, content)
    if how < 0.6:
        return other_octets(draw, content)
    text = content.decode("utf-8-sig")
    delimiter = max(",;\t", key=text.count)
    rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
    for _ in range(draw.choice((1, 1, 3, 30))):
        row = draw.choice(rows)
        if row:
            row[draw.randrange(len(row))] = draw.choice(_CELLS)
    made = io.StringIO(newline="")
    csv.writer(made, delimiter=delimiter).writerows(rows)
    return made.getvalue().encode("utf-8", "replace")


def other_octets(draw: Random, content: bytes) -> bytes:
    raw = bytearray(content)
    for _ in range(draw.choice((1, 3, 100))):
        raw[draw.randrange(len(raw))] = draw.randrange(256)
    return bytes(raw[: draw.choice((len(raw), len(raw), len(raw) // 2))])


def _sheet(draw: Random, content: bytes) -> bytes:
    """A workbook whose pieces of XML have other bytes, numbers of rows and kinds of cells."""
    made = io.BytesIO()
    edits = (
        (b'r="', b'r="99999'), (b't="s"', b't="str"'), (b't="s"', b't="d"'), (b"<v>", b"<f>1+1</f><v>"), (b"<v>", b"<v>1e999"), (b"<v>1", b"<v>99999999"),
        (b"<row ", b"<rwo "), (b"</row>", b""), (b'<c r="B', b'<c r="XFD'), (b"<sheetData>", b"<sheetData><row r='0'/>"), (b"<t>", b"<t>_x001B_"),
    )  # fmt: skip
    before, after = draw.choice(edits)
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for piece in old.infolist():
            text = old.read(piece)
            if piece.filename.startswith(("xl/worksheets/", "xl/sharedStrings")):
                text = text.replace(before, after, draw.choice((1, 5, 1000)))
            new.writestr(piece.filename, text)
    return made.getvalue()
