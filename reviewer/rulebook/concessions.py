"""Concessions: accepted findings, matched one to one; one that matches nothing is reported.

A concession accepts what was there and no more. A finding with an extent is accepted only by a
concession that names the same extent; where it has changed, the finding counts and says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from reviewer.model.design import Concession
from reviewer.model.review import Assessment, Finding


def grant(
    assessments: tuple[Assessment, ...], concessions: tuple[Concession, ...]
) -> tuple[tuple[Assessment, ...], tuple[Concession, ...]]:
    """Mark the conceded findings, and those that changed since somebody conceded them.

    Returns the new assessments, and the concessions that matched no finding.

    A concession without a state accepts the finding of its rule, subject and extent only if there
    is exactly one.
    """
    used: set[int] = set()
    granted = []
    for assessment in assessments:
        findings = []
        for finding in assessment.findings:
            match = next((i for i in _matches(finding, assessment, concessions) if i not in used), None)
            if match is not None:
                used.add(match)
                finding = replace(finding, conceded=concessions[match])
            findings.append(finding)
        granted.append(replace(assessment, findings=tuple(findings)))
    unmatched = tuple(c for i, c in enumerate(concessions) if i not in used)
    done = tuple(
        replace(a, findings=tuple(_compared(finding, unmatched) for finding in a.findings)) for a in granted
    )
    return done, unmatched


def _matches(finding: Finding, assessment: Assessment, concessions: tuple[Concession, ...]) -> Iterator[int]:
    """The numbers of the concessions that accept a finding."""
    same = [f for f in assessment.findings if (f.subject, f.extent) == (finding.subject, finding.extent)]
    for i, c in enumerate(concessions):
        if (c.rule, c.subject, c.extent or "") == (finding.rule, finding.subject, finding.extent) and (
            c.state == finding.state or (c.state is None and len(same) == 1)
        ):
            yield i


def _compared(finding: Finding, unmatched: tuple[Concession, ...]) -> Finding:
    """A finding that nobody conceded as it is, with what was conceded of its subject before."""
    if finding.conceded or not finding.extent:
        return finding
    before = tuple(
        ("changed; the concession accepts", c.extent or "no extent named")
        for c in unmatched
        if (c.rule, c.subject) == (finding.rule, finding.subject)
    )
    return replace(finding, numbers=(*finding.numbers, *before))
