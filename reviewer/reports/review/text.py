"""A review for a terminal: rule errors, missing data, findings, outcome of the rules."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model.review import Finding, Outcome, Review
from reviewer.reports import wording
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.wording import counted, shown

FOLD_FROM = 4


def as_text(reviews: Sequence[Review], width: int = 100) -> str:
    """All reviews, one below the other, and the cautions once at the end.

    No line is wider than ``width`` unless one word is.
    """
    width = max(width, NARROWEST)
    lines: list[str] = []
    for review in reviews:
        lines += [*_review(review, width), ""]
    if len(reviews) > 1:
        lines += [f"{counted(len(reviews), 'file')} reviewed.", ""]
    lines += caution_lines(width)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _review(review: Review, width: int) -> Iterator[str]:
    yield from headed(shown(review.file), width)
    counts = ((review.parts, "part"), (review.wires, "wire"), (len(review.states), "state"))
    size = ", ".join(counted(number, noun) for number, noun in counts)
    yield from lines_of(f"{shown(review.aircraft)}, {shown(review.stage)} stage: {size}.", width)
    yield from _breakdowns(review, width)
    yield from _not_assessed(review, width)
    yield from _findings(review, width)
    if wording.listed_last(review.gaps):
        yield from _heading("Missing data")
        yield from _needed(review, width)
    if review.unmatched:
        yield from _heading(f"Concessions that match no finding: {len(review.unmatched)}")
        for concession in review.unmatched:
            yield from lines_of(
                f"{concession.rule}: {wording.place_words(concession.subject, concession.state or '', None)}",
                width,
                2,
            )
            if concession.extent:
                yield from labelled("extent", shown(concession.extent), width)
            yield from labelled("reason", wording.concession_words(concession), width)
    for title, sentences in (("Limitations", review.limits), ("Basis", review.basis)):
        if sentences:
            yield from _heading(title)
            for sentence in sentences:
                yield from lines_of(f"- {shown(sentence)}", width, 2, 4)
    if review.states:
        yield from _heading("States reviewed, with switch positions")
        for name, switches in zip(review.states, review.positions, strict=True):
            like = () if name == review.states[0] else review.positions[0]
            yield from lines_of(
                f"- {shown(name)}: {wording.positions_words(switches, like, review.states[0])}", width, 2, 4
            )
    yield from _tallies(review, width)


def _breakdowns(review: Review, width: int) -> Iterator[str]:
    if not review.breakdowns:
        return
    rules = len({b.rule for b in review.breakdowns})
    yield from _heading(f"Rule error: {counted(len(review.breakdowns), 'item')} of {counted(rules, 'rule')}")
    yield from lines_of(
        "A defect of the rule, not of the design. Nothing is known about these items.", width, 2
    )
    for breakdown in review.breakdowns:
        yield from lines_of(f"- {breakdown.rule}: {wording.subject_words(breakdown.subject)}", width, 2, 4)
        yield from lines_of(shown(breakdown.error), width, 6)


def _not_assessed(review: Review, width: int) -> Iterator[str]:
    gaps = review.gaps
    if not gaps:
        yield from _heading("Missing data: none")
        return
    rules = len({g.rule for g in gaps})
    yield from _heading(
        f"Missing data: {counted(len(gaps), 'item')} of {counted(rules, 'rule')} not assessed"
    )
    if wording.listed_last(gaps):
        yield from lines_of(
            f"{wording.worst_words(gaps)} {wording.UNASSESSED_CAUTION} The list follows the findings.",
            width,
            2,
        )
    else:
        yield from _needed(review, width)


def _needed(review: Review, width: int) -> Iterator[str]:
    rule = ""
    for entry in wording.missing(review.gaps):
        if entry.rule != rule:
            yield from lines_of(f"{entry.rule} ({entry.hazard.word})", width, 2)
            rule = entry.rule
        number = f" ({len(entry.subjects)})" if len(entry.subjects) > 1 else ""
        yield from lines_of(f"- needs {shown(entry.needs)}", width, 4, 6)
        yield from lines_of(
            f"for {', '.join(map(wording.subject_words, entry.subjects))}{number}", width, 6, 8
        )


def _findings(review: Review, width: int) -> Iterator[str]:
    conceded = [f for f in review.findings if f.conceded]
    standing = [f for f in review.findings if not f.conceded]
    if not standing:
        yield from _heading("No finding beyond those conceded." if conceded else "No finding.")
        yield from lines_of(wording.UNASSESSED_CAUTION, width, 2)
    for hazard in sorted({f.hazard for f in standing}, reverse=True):
        same = [f for f in standing if f.hazard is hazard]
        yield from _heading(f"{hazard.word.capitalize()}: {counted(len(same), 'finding')}")
        for position, group in enumerate(_groups(same)):
            yield from [""] if position else []
            yield from _group(group, width)
    if conceded:
        yield from _heading(f"Conceded: {counted(len(conceded), 'finding')}")
        for position, finding in enumerate(conceded):
            yield from [""] if position else []
            yield from _group([finding], width)


def _groups(findings: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one rule, state and remedy together; a group too small to fold stays apart."""
    groups: dict[Any, list[Finding]] = {}
    for finding in findings:
        groups.setdefault(
            (finding.rule, finding.state, finding.switches, finding.remedy, finding.citations), []
        ).append(finding)
    result = []
    for group in groups.values():
        result += [group] if len(group) >= FOLD_FROM else [[finding] for finding in group]
    return result


def _group(findings: Sequence[Finding], width: int) -> Iterator[str]:
    alone = len(findings) == 1
    for finding in findings:
        place = wording.place_words(finding.subject, finding.field, finding.place)
        own = list(_own(finding, alone))
        if alone or own:
            yield from lines_of(
                f"{'' if alone else '- '}{shown(finding.sentence)}", width, 2, 2 if alone else 4
            )
            own += [*(_common(finding) if alone else []), ("place", place)]
            for label, text in own:
                yield from labelled(label, text, width)
        else:
            yield from lines_of(f"- {shown(finding.sentence)} ({place})", width, 2, 4)
    if not alone:
        yield from lines_of(f"For all {len(findings)}:", width, 2)
        for label, text in [*_state(findings[0]), *_common(findings[0])]:
            yield from labelled(label, text, width)


def _own(finding: Finding, alone: bool) -> Iterator[tuple[str, str]]:
    """The evidence of one finding alone."""
    if alone:
        yield from _state(finding)
    for label, text in (
        ("extent", shown(finding.extent)),
        ("failure", shown(finding.failure)),
        ("path", wording.path_words(finding.path)),
        ("detail", wording.number_words(finding.numbers)),
    ):
        if text:
            yield label, text


def _state(finding: Finding) -> Iterator[tuple[str, str]]:
    if finding.state:
        yield "state", shown(finding.state)


def _common(finding: Finding) -> Iterator[tuple[str, str]]:
    """The evidence that the findings of a group share."""
    for citation in finding.citations:
        yield "reference", wording.citation_words(citation)
    if finding.remedy:
        yield "remedy", shown(finding.remedy)
    yield "rule", finding.rule
    if finding.conceded:
        yield "hazard", finding.hazard.word
        yield "conceded", wording.concession_words(finding.conceded)


def _tallies(review: Review, width: int) -> Iterator[str]:
    conceded = [f for f in review.findings if f.conceded]
    items = sum(a.examined for a in review.assessments)
    yield from _heading(
        f"Outcome: {counted(len(review.assessments), 'rule')}, {counted(items, 'item')} checked"
    )
    for tally in wording.tallies(review):
        end = f"{counted(len(tally.rules), 'rule')}, {counted(tally.subjects, 'item')}"
        names = f": {', '.join(tally.rules)}" if tally.rules and tally.outcome is not Outcome.NOT_MET else ""
        yield from lines_of(f"{tally.outcome.value:<16}{end}{names}", width, 2, 18)
    standing = wording.hazard_counts(f for f in review.findings if not f.conceded)
    yield from lines_of(
        f"{'findings':<16}{standing}" + (f"; conceded: {len(conceded)}" if conceded else ""), width, 2, 18
    )


def _heading(title: str) -> Iterator[str]:
    yield ""
    yield title


#: nobody reads more mistakes than these, and a terminal takes long to show them
MOST_SHOWN = 1000


def as_problems(
    file: str, problems: Sequence[Any], source_lines: Sequence[str] | None = None, width: int = 100
) -> str:
    """The mistakes of a file that cannot be reviewed, each with its message and its place.

    With ``source_lines``, also the line itself. A problem has ``line``, ``column``, ``pointer`` and
    ``message``. Of more than ``MOST_SHOWN`` the rest are counted.
    """
    width = max(width, NARROWEST)
    lines = [f"{shown(file)} cannot be reviewed."]
    for problem in problems[:MOST_SHOWN]:
        where = problem.pointer.lstrip("/")
        lines += ["", *lines_of(shown(problem.message), width, 2)]
        lines += lines_of(
            f"line {problem.line}, column {problem.column}" + (f" ({shown(where)})" if where else ""),
            width,
            6,
        )
        if source_lines and 0 < problem.line <= len(source_lines):
            lines += _source(source_lines[problem.line - 1].rstrip("\r\n"), problem.column, width)
    if len(problems) > MOST_SHOWN:
        lines += ["", f"  {counted(len(problems) - MOST_SHOWN, 'more mistake')} not listed."]
    lines += ["", f"{counted(len(problems), 'mistake')} in {shown(file)}; nothing was reviewed."]
    return "\n".join(lines) + "\n"


def _source(line: str, column: int, width: int) -> list[str]:
    """The line of the file and a mark under the column; of a long line only a part."""
    start = max(0, column - 1 - width // 3)
    before = ("... " if start else "") + shown(line[start : column - 1])
    text = before + shown(line[column - 1 : column + width])
    room = width - 8
    return [
        f"      | {text if len(text) <= room else text[: room - 4] + ' ...'}".rstrip(),
        "      | " + " " * len(before) + "^",
    ]
