"""The findings as the list beside the schematic shows them, in groups of what one repair puts right."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.record import record
from reviewer.model.review import Finding, Review


@record
class FindingGroup:
    """Findings that stand together: ``head`` is the gravest, ``others`` are those beside it."""

    head: Finding
    others: tuple[Finding, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All of them, the gravest first."""
        return (self.head, *self.others)


def finding_groups(review: Review) -> list[FindingGroup]:
    """The standing findings in groups, gravest first; today each stands alone."""
    return [FindingGroup(finding) for finding in _standing(review)]


def _standing(review: Review) -> Sequence[Finding]:
    return [f for f in review.findings if not f.conceded]
