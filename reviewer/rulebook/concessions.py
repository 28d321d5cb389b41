"""Concessions: accepted findings, matched one to one; one that matches nothing is reported."""

from __future__ import annotations

from dataclasses import replace

from reviewer.model.design import Concession
from reviewer.model.review import Assessment


def grant(
    assessments: tuple[Assessment, ...], concessions: tuple[Concession, ...]
) -> tuple[tuple[Assessment, ...], tuple[Concession, ...]]:
    """Mark the conceded findings.

    Returns the new assessments, and the concessions that matched no finding.

    A concession without a state accepts the finding of its rule and subject only if there is
    exactly one.
    """
    used: set[int] = set()
    done = []
    for assessment in assessments:
        findings = []
        for finding in assessment.findings:
            same = [f for f in assessment.findings if f.subject == finding.subject]
            match = next(
                (
                    i
                    for i, c in enumerate(concessions)
                    if i not in used
                    and (c.rule, c.subject) == (finding.rule, finding.subject)
                    and (c.state == finding.state or (c.state is None and len(same) == 1))
                ),
                None,
            )
            if match is not None:
                used.add(match)
                finding = replace(finding, conceded=concessions[match])
            findings.append(finding)
        done.append(replace(assessment, findings=tuple(findings)))
    return tuple(done), tuple(c for i, c in enumerate(concessions) if i not in used)
