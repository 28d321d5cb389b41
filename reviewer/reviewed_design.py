"""A review asked for in Python: of a file, or of a design that is built as data."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.review import Finding, Gap, Review
from reviewer.reading import design_of, read_file, read_text
from reviewer.rulebook.rule import Rule
from reviewer.session import review_facts

#: what a review calls a design that was built as data
BUILT = "design"


@dataclass(frozen=True)
class ReviewedDesign:
    """A design with its review, and the answers of the engines about it. A notebook shows it as a table
    of the findings and the schematic."""

    review: Review
    facts: Facts

    @property
    def design(self) -> Design:
        """The design in the order of its file."""
        return self.facts.as_written

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, conceded ones included, worst first."""
        return self.review.findings

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Everything that was not assessed, with the missing data. Not assessed does not mean
        acceptable."""
        return self.review.gaps

    def _repr_html_(self) -> str:
        from reviewer.reports.notebook import notebook_html

        return notebook_html(self.design, self.facts.network, self.review)


def review(
    design: str | PathLike[str] | Mapping[str, Any] | Design,
    rules: Sequence[Rule] | None = None,
    trials: bool = True,
) -> ReviewedDesign:
    """Review a design by the given rules, or by those that come with the reviewer.

    ``design`` is the path of a file, the data of one (mappings, lists, texts and numbers, as a file
    holds them), or a design that was read. Without ``trials`` estimates are taken as written only.

    Raises :class:`reviewer.Unreadable` with every mistake; the places of mistakes and findings in data
    count the lines of the data as JSON, indented by one. Raises TypeError or ValueError where data
    cannot be JSON, and :class:`reviewer.rulebook.loader.RuleNotLoadable`.
    """
    path = Path(BUILT)
    if isinstance(design, Design):
        facts = Facts(design)
    elif isinstance(design, Mapping):
        text = json.dumps(dict(design), indent=1, ensure_ascii=False, allow_nan=False)
        facts = Facts(read_text(text, BUILT))
    elif not isinstance(design, str | PathLike):
        raise TypeError(
            f"a design is the path of a file, or data with its sections; not {type(design).__name__}"
        )
    else:
        path = Path(design)
        facts = Facts(design_of(read_file(path)))
    return ReviewedDesign(review_facts(facts, path, rules, trials=trials), facts)
