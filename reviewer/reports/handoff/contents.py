"""The files of the folder for peer and installer, as bytes.

The same design and version give the same bytes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Final

from reviewer import __version__
from reviewer.reports import wording
from reviewer.reports.csv import csv_of
from reviewer.reports.documents.handoff_document import HandedDesign, HandoffDocument
from reviewer.reports.handoff.schedules.all_tables import not_computed, schedules
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.handoff.workbook import as_workbook
from reviewer.reports.page.brief import as_brief
from reviewer.reports.page.html import as_page
from reviewer.reports.review.json import as_json, dumped
from reviewer.reports.review.sarif import as_sarif

FORMAT: Final = "circuit-handoff/1"
MANIFEST = "manifest.json"


def folder_files(solved: SolvedDesign) -> dict[str, bytes]:
    """Every file by name. The design file and those that belong to it are as they were reviewed, byte by
    byte.

    Raises ValueError where one of them has the name of a file of the folder.
    """
    every = schedules(solved)
    design = "design.json" if solved.file.path.suffix == ".json" else "design.yaml"
    files: dict[str, bytes] = {design: solved.file.content, "page.html": as_page(solved).encode("utf-8")}
    files["brief.html"] = as_brief(solved).encode("utf-8")
    for table in every:
        files[f"{table.key}.csv"] = as_csv(table)
    files["schedules.xlsx"] = as_workbook(solved, every)
    files["review.json"] = _text(as_json([solved.review]))
    files["review.sarif"] = _text(as_sarif([solved.review], __version__))
    own = {name.casefold() for name in (*files, MANIFEST)}
    for name, content in solved.file.beside.contents.items():
        if name.casefold() in own:
            raise ValueError(f"{name} has the name of a file of the folder; give it another name")
        files[name] = content
    files[MANIFEST] = _text(dumped(_manifest(solved, every, files, design)))
    return files


def _text(text: str) -> bytes:
    return text.encode("utf-8", "backslashreplace")


def as_csv(table: Schedule) -> bytes:
    """A schedule as comma-separated values, in UTF-8 with a byte order mark for spreadsheets.

    The first line is a comment with the cautions, in one cell of a spreadsheet; the headings follow.
    """
    text = f"# {wording.SHORT_CAUTION}\r\n{csv_of(table.columns, table.rows)}"
    return text.encode("utf-8-sig", "backslashreplace")


def _design(solved: SolvedDesign) -> HandedDesign:
    found: HandedDesign = {"file": solved.review.file, "sha256": solved.file.sha256}
    if solved.file.beside.contents:
        found["files"] = list(solved.file.beside.contents)
    return found


def _manifest(
    solved: SolvedDesign, tables: tuple[Schedule, ...], files: Mapping[str, bytes], design: str
) -> HandoffDocument:
    """What is in the folder, with the digest of each file but the manifest itself."""
    review = solved.review
    about = {f"{t.key}.csv": f"{t.title}. {t.about}" for t in tables}
    about |= dict.fromkeys(solved.file.beside.contents, "A file of the design, as it was reviewed.")
    about |= {
        design: "The design file as it was reviewed.",
        "page.html": "The review as a page for a browser, with the power distribution schematic.",
        "brief.html": "The design on two sheets: distribution, what the failure of each source does.",
        "schedules.xlsx": "All schedules in one workbook.",
        "review.json": "The review for other programs; `reviewer schema review` prints its schema.",
        "review.sarif": "The review as SARIF 2.1.0.",
    }
    return {
        "format": FORMAT,
        "cautions": list(wording.CAUTIONS),
        "reviewer": __version__,
        "aircraft": review.aircraft,
        "stage": review.stage,
        "design": _design(solved),
        "counts": {
            "parts": review.parts,
            "wires": review.wires,
            "states": len(review.states),
            "findings": sum(1 for f in review.findings if not f.conceded),
            "conceded": sum(1 for f in review.findings if f.conceded),
            "not_assessed": len(review.gaps),
            "broke_down": len(review.breakdowns),
            "rows": {t.key: len(t.rows) for t in tables},
        },
        "not_computed": list(not_computed(solved)),
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
