"""One cause in full, and the list of all of them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from reviewer.model.name_lists import and_list
from reviewer.model.review import Cause, Finding, Review
from reviewer.reports import wording
from reviewer.reports.layout import headed, lines_of
from reviewer.reports.review.cause_lines import said
from reviewer.reports.wording import counted, shown


def cause_list(review: Review, width: int) -> Iterator[str]:
    """Every cause by its number: what is wrong, what puts it right, and how many findings it has."""
    heading = ""
    for number, cause in review.numbered:
        word = cause.consequence.word.upper() if cause.standing else "CONCEDED"
        if word != heading:
            yield from ["", word]
            heading = word
        yield from lines_of(f"{number:>3} {shown(said(cause.headline))}", width, 0, 4)
        if cause.repair:
            yield from lines_of(f"-> {shown(cause.repair)}", width, 4, 7)
        if cause.findings[1:]:
            yield from lines_of(f"{counted(len(cause.findings), 'finding')} in all.", width, 4)


def cause_text(review: Review, number: int, width: int = 100) -> str:
    """The cause of that number, from 1: its repair, then each of its findings with evidence and references,
    then the concessions that would accept them."""
    from reviewer.reports.review.text import finding_lines

    cause = dict(review.numbered)[number]
    told = cause.headline
    lines = headed(f"{shown(review.file)}: cause {number} of {len(review.causes)}", width)
    lines += lines_of(f"{cause.consequence.word.capitalize()}; {cause.hazard.word}.", width)
    if others := cause.findings[1:]:
        lines += ["", *lines_of(shown(told.sentence), width)]
        lines += lines_of(f"-> {shown(cause.repair)}", width, 0, 3) if cause.repair else []
        lines += lines_of(f"The same repair clears {counted(len(others), 'more finding')}.", width)
    for finding in cause.findings:
        said = bool(others) and finding.remedy in cause.repair
        lines += ["", *finding_lines(replace(finding, remedy="") if said else finding, width)]
        if finding.identity in cause.shared:
            with_it = [f"cause {n}" for n, one in review.numbered if one.identity in cause.shared_with]
            as_well = and_list(with_it)
            repaired = "is" if len(with_it) == 1 else "are"
            lines += lines_of(
                f"This finding is cleared when {as_well} {repaired} repaired as well.", width, 2
            )
    for heading, found in (
        ("Hidden by it; found with it repaired:", cause.hidden),
        ("Still too short with it repaired:", cause.solved_again),
    ):
        lines += ["", heading] if found else []
        lines += [line for one in found for line in lines_of(f"- {shown(one.sentence)}", width, 2, 4)]
    lines += ["", *_concessions(cause, width), "", *lines_of(wording.SHORT_CAUTION, width)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _concessions(cause: Cause, width: int) -> Iterator[str]:
    if not cause.standing:
        return
    yield from lines_of(
        "To accept what was found here, write this into the file. It accepts these findings as they are; "
        "what comes later in the same cause counts.",
        width,
    )
    yield "concessions:"
    for finding in cause.standing:
        yield from _concession(finding)


def _concession(finding: Finding) -> Iterator[str]:
    for i, (key, value) in enumerate(
        (
            ("rule", finding.rule),
            ("subject", finding.subject),
            ("state", finding.state),
            ("extent", finding.extent),
            ("reason", "  # why it is accepted"),
            ("by", "  # who accepts it"),
            ("date", "  # the day, as 2026-04-18"),
        )
    ):
        if value:
            text = value if value.startswith("  #") else f" {_quoted(value)}"
            yield f"{'  - ' if i == 0 else '    '}{key}:{text}"


def _quoted(value: str) -> str:
    """A value as it may stand in the file on one line."""
    plain = wording.shown(value)
    if plain == value and not set(value) & set(":#{}[],&*!|>'\"%@`") and value.strip() == value:
        return value
    import json

    return json.dumps(value, ensure_ascii=not value.isprintable())
