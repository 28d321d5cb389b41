"""What a process needs before it can review: loaded once, by the process from which all others are forked."""

from collections.abc import Sequence
from pathlib import Path

import numpy  # noqa: F401

import reviewer.questions.solve
import reviewer.questions.trace
import reviewer.reading.circuits.lowering
import reviewer.reading.spreadsheets.table_reader  # noqa: F401
from reviewer import resources, session  # noqa: F401
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.rule import Rule

#: the rules that come with the reviewer
RULES = load_rules([resources.folder("rules")])


def rules_with(rules_from: Sequence[str]) -> tuple[Rule, ...]:
    """These rules, with those of some folders. Raises RuleNotLoadable."""
    return load_rules([resources.folder("rules"), *map(Path, rules_from)]) if rules_from else RULES
