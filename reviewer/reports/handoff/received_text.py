"""What the check of a received folder has found, as text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reviewer.reports import wording
from reviewer.reports.handoff.differences import Difference
from reviewer.reports.layout import headed, lines_of
from reviewer.reports.wording import counted, shown

#: what no digest shows
_LIMIT = (
    "A digest shows that a file was changed after the manifest was written. It does not show who wrote the "
    "manifest: compare the sha256 of the design with the one that the sender gives you."
)


def received_text(
    folder: str,
    manifest: Mapping[str, Any],
    differences: Sequence[Difference],
    reviewed: bool,
    compared: bool,
    width: int = 100,
) -> str:
    """Every difference, what was compared, and what was not.

    ``reviewed`` says whether the design was reviewed again, ``compared`` whether tables and page were
    compared with those of that review.
    """
    lines = headed(f"{shown(folder)}: handoff folder, checked", width)
    if reviewed:
        made = f"{manifest['design']['file']}: {manifest['aircraft']}, {manifest['stage']} stage"
        lines += lines_of(shown(f"{made}. Made by reviewer {manifest['reviewer']}. Design sha256:"), width)
        lines += [f"  {manifest['design']['sha256']}"]
    lines += [
        "",
        "NO DIFFERENCE FOUND" if not differences else f"DIFFERS in {counted(len(differences), 'place')}",
    ]
    for one in differences:
        lines += lines_of(str(one), width, 2, 6)
    lines += ["", *lines_of(_extent(reviewed, compared), width), *lines_of(_LIMIT, width)]
    lines += lines_of(f"{wording.SHORT_CAUTION} {wording.UNASSESSED_CAUTION}", width)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _extent(reviewed: bool, compared: bool) -> str:
    """What was compared with what, and what was not."""
    said = "Compared: each file with its digest; manifest.json and review.json with their schemas"
    if not reviewed:
        return f"{said}. The design was not reviewed again, so that nothing is known of the answers."
    if not compared:
        return (
            f"{said}; findings, causes and missing data with a fresh review. Tables, page and workbook were "
            "not compared: another version of the reviewer may write them otherwise."
        )
    return f"{said}; findings, causes, missing data, tables, page and workbook with a fresh review."
