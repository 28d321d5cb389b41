"""A review as versioned JSON: everything it holds, for other programs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from reviewer.model.design import Concession, Design
from reviewer.model.estimates_tried import EstimatesTried
from reviewer.model.review import (
    Assessment,
    Breakdown,
    Cause,
    Citation,
    Finding,
    Gap,
    HazardClass,
    Place,
    Question,
    Review,
)
from reviewer.reports import wording
from reviewer.reports.documents.described import Beginning
from reviewer.reports.documents.review_document import (
    CauseEntry,
    CitationEntry,
    ConcessionEntry,
    DataToAddEntry,
    EstimatesEntry,
    FindingEntry,
    HiddenEntry,
    ItemCounts,
    MissingDataEntry,
    MistakeEntry,
    PlaceEntry,
    ReviewDocument,
    ReviewEntry,
    RuleEntry,
    RuleErrorEntry,
)

FORMAT: Final = "circuit-review/1"


def as_json(reviews: Sequence[Review], unread: Sequence[Any] = ()) -> str:
    """All reviews as one JSON text with a stable order of keys, and the ``unread`` files, each with
    ``file`` and ``problems``."""
    return json_of(map(json_lines, reviews), unread)


def json_of(reviews: Iterable[str], unread: Sequence[Any] = ()) -> str:
    """As :func:`as_json`, of the lines of each review."""
    document: ReviewDocument = {"format": FORMAT, "cautions": list(wording.CAUTIONS), "reviews": []}
    if unread:
        document["unread"] = [{"file": u.file, "mistakes": [_mistake(p) for p in u.problems]} for u in unread]
    return filled(dumped(document), "reviews", reviews, 2)


def json_lines(review: Review) -> str:
    """The lines of a review as they stand in the document of several."""
    return inner_lines([_review(review)], 2)


def inner_lines(entries: Sequence[object], depth: int) -> str:
    """The lines of the entries of a list that is so deep in a document."""
    if not entries:
        return ""
    nested = entries
    for _ in range(depth - 1):
        nested = [nested]
    return dumped(nested).split("\n", depth)[-1].rsplit("\n", depth + 1)[0]


def filled(document: str, key: str, lines: Iterable[str], depth: int) -> str:
    """A document with the entries of a list that is empty in it."""
    entries = ",\n".join(filter(None, lines))
    margin = "  " * (depth - 1)
    before, empty, after = document.partition(f'\n{margin}"{key}": []')
    return f"{before}{empty[:-1]}\n{entries}\n{margin}]{after}" if entries else document


def beginning(file: str, design: Design) -> Beginning:
    """What every document about one file begins with, after its format."""
    return {
        "cautions": list(wording.CAUTIONS),
        "file": file,
        "aircraft": design.aircraft.name,
        "stage": design.aircraft.stage,
    }


def rounded(value: float | None) -> float | None:
    """A number to six places: what is beyond comes from the solver, not from the design.

    None for what is not a number; no minus zero.
    """
    return None if value is None or value != value else number(value)


def number(value: float) -> float:
    """A known number to six places, without minus zero."""
    return round(value, 6) + 0.0


def dumped(document: Mapping[str, object] | Sequence[object]) -> str:
    """The document as indented JSON that any UTF-8 stream can take.

    Letters stay; what cannot be seen or encoded is escaped.
    """
    import json

    text = json.dumps(document, ensure_ascii=False, indent=2)
    return (
        "\n".join(line if line.isprintable() else "".join(map(_visible, line)) for line in text.split("\n"))
        + "\n"
    )


def _visible(character: str) -> str:
    if character.isprintable():
        return character
    code = ord(character)
    if code < 0x10000:
        return f"\\u{code:04x}"
    return f"\\u{0xD800 + (code - 0x10000 >> 10):04x}\\u{0xDC00 + (code & 0x3FF):04x}"


def _review(review: Review) -> ReviewEntry:
    findings = [f for f in review.findings if not f.conceded]
    return {
        "file": review.file,
        "aircraft": review.aircraft,
        "stage": review.stage,
        "parts": review.parts,
        "wires": review.wires,
        "states": {
            name: dict(switches) for name, switches in zip(review.states, review.positions, strict=True)
        },
        "made_states": dict(review.made),
        "states_not_made": list(review.unmade),
        "counts": {
            "rules": len(review.assessments),
            **_counts(review.assessments),
            "by_hazard": {
                h.word: sum(1 for f in findings if f.hazard is h) for h in sorted(HazardClass, reverse=True)
            },
            "by_outcome": {
                t.outcome.value: {"rules": len(t.rules), "items_checked": t.subjects}
                for t in wording.tallies(review)
            },
        },
        "rule_errors": [_rule_error(b) for b in (*review.breakdowns, *review.dropped_trials)],
        "missing_data": [gap_data(g) for g in review.gaps],
        "data_to_add": [_to_add(q) for q in review.questions],
        "findings": [finding_data(f) for f in review.findings],
        "causes": [_cause(number, cause) for number, cause in review.numbered],
        "filled_in": [
            {"what": f.what, "value": f.value, "why": f.why, "items": list(f.items)} for f in review.filled_in
        ],
        "estimates": _estimates(review.estimates),
        "unmatched_concessions": [_concession(c) for c in review.unmatched],
        "limitations": list(review.limits),
        "basis": list(review.basis),
        "rules": [_rule(a) for a in review.assessments],
    }


def _rule(assessment: Assessment) -> RuleEntry:
    return {
        "rule": assessment.rule,
        "title": assessment.title,
        "hazard": assessment.hazard.word,
        "outcome": assessment.outcome.value,
        **_counts((assessment,)),
        "citations": [_citation(c) for c in assessment.citations],
        "help": assessment.help,
    }


def _counts(assessments: Sequence[Assessment]) -> ItemCounts:
    findings = [f for a in assessments for f in a.findings]
    conceded = sum(1 for f in findings if f.conceded)
    return {
        "items_checked": sum(a.examined for a in assessments),
        "rule_errors": sum(len(a.breakdowns) for a in assessments),
        "missing_data": sum(len(a.gaps) for a in assessments),
        "findings": len(findings) - conceded,
        "conceded": conceded,
    }


def finding_data(finding: Finding) -> FindingEntry:
    """One finding as plain data."""
    return {
        "identity": finding.identity,
        "rule": finding.rule,
        "hazard": finding.hazard.word,
        "consequence": finding.consequence.word,
        "subject": finding.subject,
        "field": finding.field,
        "sentence": finding.sentence,
        "state": finding.state,
        "switches": [{"switch": switch, "position": position} for switch, position in finding.switches],
        "extent": finding.extent,
        "failure": finding.failure,
        "path": [{"part": step.part, "text": step.text} for step in finding.path],
        "numbers": [{"what": what, "value": value} for what, value in finding.numbers],
        "citations": [_citation(c) for c in finding.citations],
        "remedy": finding.remedy,
        "estimates": finding.estimates,
        "conceded": _concession(finding.conceded) if finding.conceded else None,
        "place": _place(finding.place),
    }


def _estimates(tried: EstimatesTried) -> EstimatesEntry:
    return {
        "figures": list(tried.estimates),
        "tried": list(tried.corners),
        "trials": tried.trials,
        "turned": [
            {
                "rule": turned.rule,
                "hazard": turned.hazard,
                "subject": turned.subject,
                "sentence": turned.sentence,
                "found_as_written": turned.found,
                "turned_by": turned.by,
                "estimates": list(turned.estimates),
            }
            for turned in tried.turned
        ],
        "deciding": [{"estimate": name, "verdicts": count} for name, count in tried.deciding],
    }


def _cause(number: int, cause: Cause) -> CauseEntry:
    return {
        "number": number,
        "identity": cause.identity,
        "consequence": cause.consequence.word,
        "hazard": cause.hazard.word,
        "conceded": not cause.standing,
        "headline": cause.headline.identity,
        "findings": [f.identity for f in cause.findings],
        "shared": list(cause.shared),
        "shared_with": list(cause.shared_with),
        "hidden": [_hidden(finding) for finding in cause.hidden],
        "solved_again": [_hidden(finding) for finding in cause.solved_again],
        "tried": cause.tried,
    }


def _hidden(finding: Finding) -> HiddenEntry:
    return {"rule": finding.rule, "subject": finding.subject, "sentence": finding.sentence}


def gap_data(gap: Gap) -> MissingDataEntry:
    """One item that was not assessed, as plain data."""
    return {
        "rule": gap.rule,
        "hazard": gap.hazard.word,
        "subject": gap.subject,
        "needs": gap.needs,
        "place": _place(gap.place),
    }


def _to_add(question: Question) -> DataToAddEntry:
    return {
        "kind": question.kind,
        "keys": list(question.keys),
        "items": list(question.items),
        "rules": question.rules,
        "hazard": question.hazard.word,
        "text": question.snippet,
    }


def _rule_error(breakdown: Breakdown) -> RuleErrorEntry:
    return {
        "rule": breakdown.rule,
        "subject": breakdown.subject,
        "error": breakdown.error,
        "traceback": breakdown.traceback,
        "trial": breakdown.trial,
    }


def _citation(citation: Citation) -> CitationEntry:
    return {"key": citation.key, "title": citation.title, "clause": citation.clause}


def _mistake(problem: Any) -> MistakeEntry:
    entry: MistakeEntry = {"sentence": problem.message, "item": problem.pointer.lstrip("/")}
    place = _place(Place(problem.line, problem.column, problem.cell))
    return entry if problem.whole or place is None else {**entry, "place": place}


def _place(place: Place | None) -> PlaceEntry | None:
    if place is None:
        return None
    entry: PlaceEntry = {"line": place.line, "column": place.column}
    if place.cell:
        entry |= {"table": place.cell.table, "cell": f"{place.cell.letters}{place.cell.row}"}
        if place.cell.sheet:
            entry["sheet"] = place.cell.sheet
    return entry


def _concession(concession: Concession) -> ConcessionEntry:
    return {
        "rule": concession.rule,
        "subject": concession.subject,
        "state": concession.state or "",
        "extent": concession.extent or "",
        "reason": concession.reason,
        "accepted_by": concession.by,
        "date": concession.date.isoformat(),
    }
