"""The findings as the list beside the schematic shows them, in groups of what one repair puts right."""

from __future__ import annotations

from reviewer.model.record import record
from reviewer.model.review import Cause, Consequence, Finding, Review


@record
class FindingGroup:
    """Findings that stand together: ``head`` is the gravest, ``others`` are those beside it."""

    head: Finding
    consequence: Consequence
    others: tuple[Finding, ...] = ()
    #: what puts all of them right
    repair: str = ""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All of them, the gravest first."""
        return (self.head, *self.others)


def finding_groups(review: Review) -> list[FindingGroup]:
    """The standing findings under their causes, gravest first."""
    return [_group(cause) for cause in review.causes if cause.standing]


def _group(cause: Cause) -> FindingGroup:
    head = cause.gravest if cause.headline.conceded else cause.headline
    return FindingGroup(
        head, cause.consequence, tuple(f for f in cause.standing if f is not head), cause.repair
    )
