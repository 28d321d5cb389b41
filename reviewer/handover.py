"""What is handed to others: a design file solved once, as a page, as a folder, or compared with another."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from reviewer.analysis.facts import Facts
from reviewer.questions.names import effects_of
from reviewer.reading import read_design
from reviewer.reports.handoff.solved import Solved
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import Progress
from reviewer.session import review_facts


def solved_file(path: Path, rules: Sequence[Rule] | None = None, progress: Progress | None = None) -> Solved:
    """A design file read, reviewed and ready to be told of. Raises as :func:`reviewer.session.review_file` does."""
    facts = Facts(read_design(path))
    review = review_facts(facts, path, rules, progress)
    effects = effects_of(facts) if facts.design.operation else None
    return Solved(facts, review, hashlib.sha256(path.read_bytes()).hexdigest(), effects)
