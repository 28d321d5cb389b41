"""Findings, one a line, as compilers print errors: ``file:line:column: class: sentence``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model.review import HazardClass, Place, Review
from reviewer.reports.wording import file_of, rule_error_words, shown, subject_words


def as_lines(reviews: Sequence[Review]) -> str:
    """Rule errors, findings that nobody conceded, data that are missing for rules of class hazardous or
    worse, and concessions that match nothing, in the order of each file, and then of
    its tables."""
    return "".join(f"{line}\n" for review in reviews for line in _lines(review))


def as_mistake_lines(file: str, problems: Sequence[Any]) -> str:
    """The mistakes of a file that cannot be reviewed, each with ``line``, ``column`` and ``message``."""
    return "".join(
        _line(file, Place(p.line, p.column, p.cell), "mistake", p.message) + "\n" for p in problems
    )


def _lines(review: Review) -> Iterator[str]:
    entries: list[tuple[str, int, int, str]] = []

    def add(place: Place | None, word: str, sentence: str) -> None:
        at = place or Place(1, 1)
        table = f"{at.cell.table} {at.cell.sheet}" if at.cell else ""
        entries.append((table, at.line, at.column, _line(review.file, at, word, sentence)))

    for error in review.rule_errors:
        add(None, "rule error", rule_error_words(error))
    for finding in review.findings:
        if not finding.conceded:
            add(finding.place, finding.hazard.word, finding.sentence)
    for gap in review.gaps:
        if gap.hazard >= HazardClass.HAZARDOUS:
            add(gap.place, "not assessed", f"{subject_words(gap.subject)} needs {gap.needs}.")
    for concession in review.unmatched:
        add(None, "concession", f"{concession.rule}, {concession.subject}: it matches no finding.")
    # findings on several paths between the same two parts are one line
    yield from dict.fromkeys(line for *_, line in sorted(entries, key=lambda entry: entry[:3]))


def _line(file: str, place: Place, word: str, sentence: str) -> str:
    cell = place.cell
    sheet = f"sheet {cell.sheet}, cell {cell.letters}{cell.row}: " if cell and cell.sheet else ""
    where = f"{shown(file_of(file, place))}:{place.line}:{place.column}"
    return f"{where}: {word}: {shown(sheet + sentence)}"
