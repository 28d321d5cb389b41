"""The cover sheet: what the package is of, its cautions, revision, digest and content."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer import __version__
from reviewer.reports import wording
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign
from reviewer.reports.title_rows import title_rows

_ABOUT = "What this package is of, its cautions, revision, the digest of its design file, and its content."


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
        ("content: cover", _ABOUT),
        *((f"content: {table.key}", table.about) for table in tables),
    )
    return Schedule("cover", "Cover sheet", _ABOUT, ("what", "text"), rows)
