"""A review as SARIF 2.1.0.

Only findings and missing data are results: no result does not mean acceptable.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model.places import CellPlace
from reviewer.model.review import (
    Assessment,
    Cause,
    Finding,
    Gap,
    HazardClass,
    Place,
    Review,
    RuleError,
    Step,
    rule_errors,
)
from reviewer.reports import wording
from reviewer.reports.review.json import dumped, filled, inner_lines

FINGERPRINT = "circuitReviewer/v1"
_SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {
    HazardClass.CATASTROPHIC: "error",
    HazardClass.HAZARDOUS: "error",
    HazardClass.MAJOR: "warning",
    HazardClass.MINOR: "warning",
    HazardClass.NO_SAFETY_EFFECT: "note",
}


def level_of(hazard: HazardClass) -> str:
    """The level for a hazard class; only this format knows levels."""
    return _LEVELS[hazard]


def as_sarif(reviews: Sequence[Review], version: str, unread: Sequence[Any] = ()) -> str:
    """All reviews as one run.

    Findings are results of kind "fail", missing data of kind "open"; rule errors are notifications, and
    so are the mistakes of the ``unread`` files, each of these with ``file`` and ``problems``.
    """
    return sarif_of([(review, sarif_lines(review)) for review in reviews], version, unread)


def sarif_lines(review: Review) -> str:
    """The lines of the results of a review, as they stand in a run of reviews by the same rules."""
    return _lines(review, _index([review]))


def sarif_of(reviews: Sequence[tuple[Review, str]], version: str, unread: Sequence[Any] = ()) -> str:
    """As :func:`as_sarif`, of reviews with their lines."""
    only = [review for review, _ in reviews]
    index = _index(only)
    rules = {a.rule: a for review in reversed(only) for a in review.assessments}
    lines = (own if _index([one]) == index else _lines(one, index) for one, own in reviews)
    driver = {
        "name": "circuit-reviewer",
        "version": version,
        "rules": [_descriptor(rules[name]) for name in index],
    }
    run = {
        "tool": {"driver": driver},
        "invocations": [_invocation(only, index, unread)],
        "originalUriBaseIds": {
            "DESIGNS": {"description": {"text": "The folder in which the review was started."}}
        },
        "artifacts": [
            {"location": _artifact(f), "roles": ["analysisTarget"]}
            for f in dict.fromkeys((*(name for r in only for name in _files(r)), *(u.file for u in unread)))
        ],
        "columnKind": "unicodeCodePoints",
        "results": [],
        "properties": {"cautions": list(wording.CAUTIONS), "reviews": [_summary(r) for r in only]},
    }
    return filled(dumped({"$schema": _SCHEMA, "version": "2.1.0", "runs": [run]}), "results", lines, 4)


def _index(reviews: Sequence[Review]) -> dict[str, int]:
    """The number of each rule."""
    names = dict.fromkeys(a.rule for review in reviews for a in review.assessments)
    return {name: number for number, name in enumerate(names)}


def _lines(review: Review, index: dict[str, int]) -> str:
    return inner_lines(list(_results(review, index)), 4)


def _files(review: Review) -> Iterator[str]:
    """The design file and the tables in which something was found."""
    yield review.file
    for place in (*(f.place for f in review.findings), *(g.place for g in review.gaps)):
        yield wording.file_of(review.file, place)


def _descriptor(assessment: Assessment) -> dict[str, Any]:
    paragraphs = [" ".join(p.split()) for p in re.split(r"\n\s*\n", assessment.help) if p.strip()]
    full = next((p for p in paragraphs if p.rstrip(".") != assessment.title.rstrip(".")), assessment.title)
    return {
        "id": assessment.rule,
        "shortDescription": _message(assessment.title),
        "fullDescription": _message(full),
        "help": {"text": _plain(assessment.help, lines=True)},
        "defaultConfiguration": {"level": level_of(assessment.hazard)},
        "properties": {
            "hazardClass": assessment.hazard.word,
            "references": [wording.citation_words(c) for c in assessment.citations],
        },
    }


def _results(review: Review, index: dict[str, int]) -> Iterator[dict[str, Any]]:
    causes = {f.identity: numbered for numbered in review.numbered for f in numbered[1].findings}
    for finding in review.findings:
        yield _fail(review.file, finding, index, *causes.get(finding.identity, (0, None)))
    for gap in review.gaps:
        yield _open(review.file, gap, index)


def _fail(
    file: str, finding: Finding, index: dict[str, int], number: int, cause: Cause | None
) -> dict[str, Any]:
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": index[finding.rule],
        "kind": "fail",
        "level": level_of(finding.hazard),
        "message": _message(" ".join(_sentences(finding))),
        "locations": [_location(file, finding.subject, finding.field, finding.place)],
        "partialFingerprints": {FINGERPRINT: finding.identity},
        "suppressions": [],
    }
    if finding.path:
        steps = [{"location": _step(file, step)} for step in finding.path]
        result["codeFlows"] = [{"threadFlows": [{"locations": steps}]}]
    first = cause.findings[0] if cause else finding
    if first is not finding:
        result["relatedLocations"] = [
            _location(file, first.subject, first.field, first.place)
            | {"message": _message(f"Cleared by the same repair: {first.sentence}")}
        ]
    if finding.conceded:
        result["suppressions"] = [
            {
                "kind": "external",
                "status": "accepted",
                "justification": wording.concession_words(finding.conceded),
            }
        ]
    result["properties"] = {
        "hazardClass": finding.hazard.word,
        "consequence": finding.consequence.word,
        "cause": first.identity,
        "causeNumber": number,
        "state": finding.state,
        "extent": finding.extent,
        "switches": dict(finding.switches),
        "failure": finding.failure,
        "numbers": [{"what": what, "value": value} for what, value in finding.numbers],
        "references": [wording.citation_words(c) for c in finding.citations],
        "remedy": finding.remedy,
        "estimates": finding.estimates,
    }
    return result


def _sentences(finding: Finding) -> Iterator[str]:
    """The sentence first, then the evidence, for viewers that show the message alone."""
    yield finding.sentence
    if finding.state:
        yield f"State: {wording.in_state(finding.state, finding.switches)}."
    if finding.extent:
        yield f"Extent: {finding.extent}."
    if finding.failure:
        yield f"Failure: {finding.failure}."
    if finding.numbers:
        yield f"Detail: {wording.number_words(finding.numbers)}."
    if finding.estimates:
        yield f"Estimates: {finding.estimates}."
    if finding.remedy:
        yield f"Remedy: {finding.remedy}"


def _open(file: str, gap: Gap, index: dict[str, int]) -> dict[str, Any]:
    import hashlib

    digest = hashlib.sha256(
        "\x1f".join((gap.rule, gap.subject, "", "not assessed")).encode("utf-8", "surrogatepass")
    ).hexdigest()
    return {
        "ruleId": gap.rule,
        "ruleIndex": index[gap.rule],
        "kind": "open",
        "level": "none",
        "message": _message(
            f"Not assessed: {wording.subject_words(gap.subject)}. Missing data: {gap.needs}."
        ),
        "locations": [_location(file, gap.subject, "", gap.place)],
        "partialFingerprints": {FINGERPRINT: digest},
        "suppressions": [],
        "properties": {"hazardClass": gap.hazard.word, "needs": gap.needs},
    }


def _invocation(reviews: Sequence[Review], index: dict[str, int], unread: Sequence[Any]) -> dict[str, Any]:
    mistakes = [
        {
            "level": "error",
            "message": _message(f"Not reviewed: {problem.message}"),
            "locations": [
                _file_location(file.file)
                if problem.whole
                else _location(
                    file.file,
                    problem.pointer.strip("/"),
                    "",
                    Place(problem.line, problem.column, problem.cell),
                )
            ],
        }
        for file in unread
        for problem in file.problems
    ]
    broken = [_notification(r.file, b, index) for r in reviews for b in r.rule_errors]
    dropped = [_notification(r.file, b, index) for r in reviews for b in rule_errors(r.dropped_trials)]
    limits = [
        {
            "level": "warning",
            "message": _message(f"Limitation: {limit}"),
            "locations": [_file_location(r.file)],
        }
        for r in reviews
        for limit in (*r.limits, *(turned.words for turned in r.estimates.turned))
    ]
    unmatched = [
        {
            "level": "warning",
            "message": _message(
                f"A concession matches no finding: {c.rule}, "
                f"{wording.place_words(c.subject, c.state or '', None)}. {wording.concession_words(c)}"
            ),
            "locations": [_file_location(r.file)],
        }
        for r in reviews
        for c in r.unmatched
    ]
    return {
        "executionSuccessful": not (broken or unread),
        "toolExecutionNotifications": mistakes + broken + dropped + limits,
        "toolConfigurationNotifications": unmatched,
    }


def _notification(file: str, error: RuleError, index: dict[str, int]) -> dict[str, Any]:
    kind, _, _ = error.error.partition(":")
    return {
        "level": "warning" if error.trial else "error",
        "message": _message(
            f"Rule error{' in a trial' if error.trial else ''}: {wording.rule_error_words(error)}"
        ),
        "associatedRule": {"id": error.rule, "index": index[error.rule]},
        "locations": [_location(file, subject, "", None) for subject in error.subjects],
        "exception": {"kind": kind, "message": error.error},
        "properties": {"traceback": error.traceback},
    }


def _summary(review: Review) -> dict[str, Any]:
    return {
        "file": review.file,
        "aircraft": review.aircraft,
        "stage": review.stage,
        "outcomes": {
            t.outcome.value: {"rules": len(t.rules), "items_checked": t.subjects}
            for t in wording.tallies(review)
        },
        "basis": list(review.basis),
    }


def _location(file: str, subject: str, field: str, place: Place | None) -> dict[str, Any]:
    location = _file_location(wording.file_of(file, place))
    if place and not (place.cell and place.cell.sheet):
        location["physicalLocation"]["region"] = {"startLine": place.line, "startColumn": place.column}
    if subject:
        pointer = f"{subject}/{field}" if field else subject
        location["logicalLocations"] = [
            {"name": pointer.rpartition("/")[2], "fullyQualifiedName": pointer, "kind": "member"}
        ]
    if place and place.cell:
        location.setdefault("logicalLocations", []).append(_cell(place.cell))
    return location


def _cell(cell: CellPlace) -> dict[str, str]:
    """A cell of a table; a workbook is no text, so that it has no region."""
    name = f"{cell.letters}{cell.row}"
    sheet = "'" + cell.sheet.replace("'", "''") + "'!" if cell.sheet else ""
    return {"name": name, "fullyQualifiedName": f"{sheet}{name}", "kind": "cell"}


def _step(file: str, step: Step) -> dict[str, Any]:
    location = _file_location(file)
    location["logicalLocations"] = [{"name": step.part, "fullyQualifiedName": step.part, "kind": "member"}]
    location["message"] = _message(wording.path_words([step]))
    return location


def _file_location(file: str) -> dict[str, Any]:
    return {"physicalLocation": {"artifactLocation": _artifact(file)}}


def _artifact(file: str) -> dict[str, str]:
    """A relative path below the folder of the run; an absolute one as a file address."""
    from urllib.parse import quote

    path = file.replace("\\", "/")
    drive = re.match("[A-Za-z]:/", path)
    if drive:
        path = "/" + path
    while path.startswith("./"):
        path = path[2:]
    encoded = quote(path, safe="/:" if drive else "/", errors="surrogateescape")
    return {"uri": f"file://{encoded}"} if path.startswith("/") else {"uri": encoded, "uriBaseId": "DESIGNS"}


def _message(text: str) -> dict[str, str]:
    return {"text": _plain(text)}


def _plain(text: str, lines: bool = False) -> str:
    """Literal text in this format: nothing hidden, braces doubled, nothing that reads as a link."""
    visible = "\n".join(map(wording.shown, text.split("\n"))) if lines else wording.shown(text)
    return re.sub(r"\[(?=[^\[\]]*\]\()", r"\\[", visible.replace("{", "{{").replace("}", "}}"))
