"""A review as versioned JSON: everything it holds, for other programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from reviewer.model.design import Design
from reviewer.model.review import Assessment, Breakdown, Citation, Finding, Gap, HazardClass, Place, Review
from reviewer.reports import wording

FORMAT = "circuit-review/1"


def as_json(reviews: Sequence[Review]) -> str:
    """All reviews as one JSON text with a stable order of keys; ``schemas/review.schema.json`` describes it."""
    return dumped(
        {"format": FORMAT, "cautions": list(wording.CAUTIONS), "reviews": [_review(r) for r in reviews]}
    )


def beginning(format_: str, file: str, design: Design) -> dict[str, Any]:
    """What every document about one file begins with; ``schema_words.beginning`` describes it."""
    return {
        "format": format_,
        "cautions": list(wording.CAUTIONS),
        "file": file,
        "aircraft": design.aircraft.name,
        "stage": design.aircraft.stage,
    }


def dumped(document: Mapping[str, Any]) -> str:
    """The document as indented JSON that any UTF-8 stream can take: letters stay, what cannot be seen or encoded is escaped."""
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


def _review(review: Review) -> dict[str, Any]:
    conceded = sum(1 for f in review.findings if f.conceded)
    return {
        "file": review.file,
        "aircraft": review.aircraft,
        "stage": review.stage,
        "parts": review.parts,
        "wires": review.wires,
        "states": {
            name: dict(switches) for name, switches in zip(review.states, review.positions, strict=True)
        },
        "counts": {
            "rules": len(review.assessments),
            "subjects": sum(a.examined for a in review.assessments),
            "breakdowns": len(review.breakdowns),
            "gaps": len(review.gaps),
            "findings": len(review.findings) - conceded,
            "conceded": conceded,
            "by_hazard": {
                h.word: sum(1 for f in review.findings if f.hazard is h and not f.conceded)
                for h in sorted(HazardClass, reverse=True)
            },
            "by_outcome": {
                t.outcome.value: {"rules": len(t.rules), "subjects": t.subjects}
                for t in wording.tallies(review)
            },
        },
        "breakdowns": [_breakdown(b) for b in review.breakdowns],
        "gaps": [gap_data(g) for g in review.gaps],
        "findings": [finding_data(f) for f in review.findings],
        "unmatched_concessions": [_concession(c) for c in review.unmatched],
        "limits": list(review.limits),
        "basis": list(review.basis),
        "rules": [_assessment(a) for a in review.assessments],
    }


def _assessment(assessment: Assessment) -> dict[str, Any]:
    conceded = sum(1 for f in assessment.findings if f.conceded)
    return {
        "rule": assessment.rule,
        "title": assessment.title,
        "hazard": assessment.hazard.word,
        "outcome": assessment.outcome.value,
        "subjects": assessment.examined,
        "breakdowns": len(assessment.breakdowns),
        "gaps": len(assessment.gaps),
        "findings": len(assessment.findings) - conceded,
        "conceded": conceded,
        "citations": [_citation(c) for c in assessment.citations],
        "help": assessment.help,
    }


def finding_data(finding: Finding) -> dict[str, Any]:
    """One finding as plain data."""
    return {
        "identity": finding.identity,
        "rule": finding.rule,
        "hazard": finding.hazard.word,
        "subject": finding.subject,
        "field": finding.field,
        "sentence": finding.sentence,
        "state": finding.state,
        "switches": [{"switch": switch, "position": position} for switch, position in finding.switches],
        "failure": finding.failure,
        "path": [{"part": step.part, "text": step.text} for step in finding.path],
        "numbers": [{"what": what, "value": value} for what, value in finding.numbers],
        "citations": [_citation(c) for c in finding.citations],
        "remedy": finding.remedy,
        "conceded": _concession(finding.conceded) if finding.conceded else None,
        "place": _place(finding.place),
    }


def gap_data(gap: Gap) -> dict[str, Any]:
    """One gap as plain data."""
    return {
        "rule": gap.rule,
        "hazard": gap.hazard.word,
        "subject": gap.subject,
        "needs": gap.needs,
        "place": _place(gap.place),
    }


def _breakdown(breakdown: Breakdown) -> dict[str, Any]:
    return {
        "rule": breakdown.rule,
        "subject": breakdown.subject,
        "error": breakdown.error,
        "traceback": breakdown.traceback,
    }


def _citation(citation: Citation) -> dict[str, Any]:
    return {"key": citation.key, "title": citation.title, "clause": citation.clause}


def _place(place: Place | None) -> dict[str, Any] | None:
    return {"line": place.line, "column": place.column} if place else None


def _concession(concession: Any) -> dict[str, Any]:
    return {
        "rule": concession.rule,
        "subject": concession.subject,
        "state": concession.state or "",
        "reason": concession.reason,
        "by": concession.by,
        "on": concession.on.isoformat(),
    }
