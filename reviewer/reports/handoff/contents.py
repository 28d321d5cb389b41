"""The files of the folder that is handed over, as bytes: the same design and version give the same bytes."""

from __future__ import annotations

import hashlib
import io
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from reviewer import __version__
from reviewer.reports import wording
from reviewer.reports.csv import csv_of
from reviewer.reports.handoff.schedules.all_tables import tables
from reviewer.reports.handoff.schedules.table import Table
from reviewer.reports.handoff.solved import Solved
from reviewer.reports.page.html import as_page
from reviewer.reports.review.json import as_json, dumped
from reviewer.reports.review.sarif import as_sarif

FORMAT = "circuit-handoff/1"
MANIFEST = "manifest.json"
#: what a workbook says of when it was made: its content depends on the design only
_MADE = datetime(2000, 1, 1)
_LONGEST = 32_000  # a cell of a workbook may have 32,767 letters
_TEXT_WIDE = 48


def folder_files(solved: Solved, design: bytes, suffix: str) -> dict[str, bytes]:
    """Every file by name. ``design`` is the design file and ``suffix`` the end of its name. Raises ValueError where it is not what was reviewed."""
    if hashlib.sha256(design).hexdigest() != solved.digest:
        raise ValueError("the design file changed while it was reviewed")
    schedules = tables(solved)
    files: dict[str, bytes] = {f"design{suffix}": design, "page.html": as_page(solved).encode("utf-8")}
    for table in schedules:
        files[f"{table.key}.csv"] = as_csv(table)
    files["schedules.xlsx"] = as_workbook(solved, schedules)
    files["review.json"] = _text(as_json([solved.review]))
    files["review.sarif"] = _text(as_sarif([solved.review], __version__))
    files[MANIFEST] = _text(dumped(_manifest(solved, schedules, files, f"design{suffix}")))
    return files


def _text(text: str) -> bytes:
    return text.encode("utf-8", "backslashreplace")


def as_csv(table: Table) -> bytes:
    """A table as comma-separated values (RFC 4180), in UTF-8 with the mark by which a spreadsheet knows it."""
    return csv_of(table.columns, table.rows).encode("utf-8-sig", "backslashreplace")


def as_workbook(solved: Solved, schedules: tuple[Table, ...]) -> bytes:
    """One workbook: a first sheet that says what it is, then a sheet a table."""
    import xlsxwriter

    stream = io.BytesIO()
    options = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(stream, options)
    review = solved.review
    book.set_properties(
        {
            "title": wording.shown(f"{review.aircraft}: schedules")[:200],
            "created": _MADE,
            "comments": " ".join(wording.CAUTIONS),
        }
    )
    bold = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    plain = book.add_format({"text_wrap": True, "valign": "top"})
    _first_sheet(book, solved, schedules, bold, plain)
    for table in schedules:
        _sheet(book, table, review.aircraft, bold, plain)
    book.close()
    return stream.getvalue()


def _first_sheet(book: Any, solved: Solved, schedules: tuple[Table, ...], bold: Any, plain: Any) -> None:
    sheet = book.add_worksheet("about")
    sheet.set_column(0, 0, 26)
    sheet.set_column(1, 1, 100)
    review = solved.review
    rows = [
        ("aircraft", review.aircraft),
        ("stage", review.stage),
        ("design file", review.file),
        ("sha256 of the design", solved.digest),
    ]
    rows += [
        ("reviewer", __version__),
        ("findings", wording.hazard_counts(f for f in review.findings if not f.conceded)),
    ]
    rows += [
        ("conceded", str(sum(1 for f in review.findings if f.conceded))),
        ("not assessed", f"{len(review.gaps)} for want of an input"),
    ]
    rows += [("caution", caution) for caution in wording.CAUTIONS]
    rows += [("not computed", words) for words in solved.answers.missing]
    rows += [(table.key, table.about) for table in schedules]
    for i, (key, text) in enumerate(rows):
        sheet.write_string(i, 0, key, bold)
        sheet.write_string(i, 1, _clipped(text), plain)


def _sheet(book: Any, table: Table, aircraft: str, bold: Any, plain: Any) -> None:
    sheet = book.add_worksheet(table.key[:31])
    for number, (heading, *cells) in enumerate(zip(table.columns, *table.rows, strict=True)):
        sheet.write_string(0, number, _clipped(heading), bold)
        for row, cell in enumerate(cells, 1):
            if isinstance(cell, str):
                sheet.write_string(row, number, _clipped(cell), plain)
            else:
                sheet.write_number(row, number, cell, plain)
        sheet.set_column(
            number, number, min(_TEXT_WIDE, max(9, *(len(str(c)) + 2 for c in (heading, *cells))))
        )
    sheet.freeze_panes(1, 1)
    if table.rows:
        sheet.autofilter(0, 0, len(table.rows), len(table.columns) - 1)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.repeat_rows(0)
    sheet.set_footer(f"&L{wording.shown(aircraft)[:80].replace('&', '&&')}&C{table.key}&R&P of &N")


def _clipped(text: str) -> str:
    shown = wording.shown(text)
    return shown if len(shown) <= _LONGEST else shown[: _LONGEST - 1] + "…"


def _manifest(
    solved: Solved, schedules: tuple[Table, ...], files: Mapping[str, bytes], design: str
) -> dict[str, Any]:
    """What is in the folder, with the digest of each file but of the manifest itself."""
    review = solved.review
    about = {f"{t.key}.csv": f"{t.title}. {t.about}" for t in schedules}
    about |= {
        design: "The design file as it was reviewed.",
        "page.html": "The review as a page for a browser, with the diagram.",
        "schedules.xlsx": "All tables in one workbook.",
        "review.json": "The review for other programs; `reviewer schema review` prints its schema.",
        "review.sarif": "The review as SARIF 2.1.0.",
    }
    return {
        "format": FORMAT,
        "cautions": list(wording.CAUTIONS),
        "reviewer": __version__,
        "aircraft": review.aircraft,
        "stage": review.stage,
        "design": {"file": review.file, "sha256": solved.digest},
        "counts": {
            "parts": review.parts,
            "wires": review.wires,
            "states": len(review.states),
            "findings": sum(1 for f in review.findings if not f.conceded),
            "conceded": sum(1 for f in review.findings if f.conceded),
            "not_assessed": len(review.gaps),
            "broke_down": len(review.breakdowns),
            "rows": {t.key: len(t.rows) for t in schedules},
        },
        "not_computed": list(solved.answers.missing),
        "files": [
            {
                "name": name,
                "bytes": len(content),
                "sha256": hashlib.sha256(content).hexdigest(),
                "what": about[name],
            }
            for name, content in files.items()
        ],
    }
