"""The review of a drawing that tests of several files look at, each made once in a run of the tests."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.review import Review
from reviewer.reading import read_text
from reviewer.session import review_facts
from tests.once_a_run import once_a_run
from tests.rule_cases import RULES, text


def reviewed_once(design: dict[str, Any]) -> Review:
    """The review by all rules of a drawing without estimates, of which no trial was dropped."""
    content = text(design)

    def made() -> Review:
        review = review_facts(Facts(read_text(content, "design")), Path("design"), list(RULES.values()))
        assert not review.dropped_trials  # what a trial that failed would have joined would be a cause apart
        return review

    found: Review = once_a_run(f"review of {content}", made)
    return found
