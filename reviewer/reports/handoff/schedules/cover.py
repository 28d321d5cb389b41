"""The cover sheet: what the package is of, its cautions, revision, digest and content."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reviewer import __version__
from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.reports import wording
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.title_rows import title_rows

_ABOUT = "What this package is of, its cautions, revision, the digest of its design file, and its content."


#: names that a spreadsheet program takes for numbers, dates, times or truth values when it opens a CSV
#: file, and then writes otherwise (LibreOffice 7.4 and its settings for import as they come; month names
#: common practice, no published source)
_TAKEN_FOR_OTHER = re.compile(
    r"0[0-9]+|[0-9]{16,}|[0-9]+\.[0-9]*0|[0-9]+(\.[0-9]*)?e[+-]?[0-9]+|[0-9]{1,4}([-/][0-9]{1,4}){1,2}|[0-9]+\.[0-9]+\.[0-9]+"
    r"|[0-9]{1,2}(:[0-9]{2}){1,2}|true|false|(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*-?[0-9]{1,2}",
    re.IGNORECASE,
)
#: names of that kind that the cover lists
_LISTED = 10


def cover(solved: SolvedDesign, tables: Sequence[Schedule], not_computed: Sequence[str]) -> Schedule:
    """The cover of a package with these schedules."""
    review, design = solved.review, solved.design
    standing = [f for f in review.findings if not f.conceded]
    later = design.provisions
    rows = (
        ("aircraft", review.aircraft),
        *(("caution", caution) for caution in wording.CAUTIONS),
        *title_rows(design.aircraft),
        ("stage", review.stage),
        ("design file", review.file),
        ("sha256 of the design file", solved.file.sha256),
        ("reviewer", __version__),
        ("findings", wording.hazard_counts(standing)),
        ("conceded", str(len(review.findings) - len(standing))),
        ("not assessed", f"missing data: {wording.counted(len(review.gaps), 'item')}"),
        (
            "fitted later",
            f"{wording.counted(len(later.parts), 'part')} and {wording.counted(len(later.wires), 'wire')}",
        ),
        *(("not computed", words) for words in not_computed),
        ("spreadsheet program", _spreadsheet_words(design)),
        ("content: cover", _ABOUT),
        *((f"content: {table.key}", table.about) for table in tables),
    )
    return Schedule("cover", "Cover sheet", _ABOUT, ("what", "text"), rows)


def _spreadsheet_words(design: Design) -> str:
    """Which file a spreadsheet program shows as it is, and the names that it would change in the others."""
    words = "Open schedules.xlsx, in which every name is text; the CSV files are for other programs."
    named = [*design.parts, *design.wires, *(part.part_number or "" for part in design.parts.values())]
    changed = [name for name in dict.fromkeys(named) if _TAKEN_FOR_OTHER.fullmatch(name)]
    if not changed:
        return words
    more = len(changed) - _LISTED
    listed = and_list([*changed[:_LISTED], *([f"{more} more"] if more > 0 else [])])
    return f"{words} Opened there as CSV, names such as {listed} may turn into numbers or dates."
