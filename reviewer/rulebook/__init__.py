"""What a rule may import: the facts it asks, and the words in which it answers."""

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts
from reviewer.model.review import HazardClass
from reviewer.rulebook.numbers import minutes, percent
from reviewer.rulebook.rule import Unmet, of_single_points
from reviewer.tables.limits import allowed_drop, structure_return_ohms
from reviewer.tables.lookup import OutsideTable, protector_limit
from reviewer.tables.practice import practice

__all__ = [
    "Facts", "HazardClass", "NotAssessable", "OutsideTable", "Unmet", "allowed_drop", "minutes", "of_single_points", "parts", "percent", "practice",
    "protector_limit", "structure_return_ohms",
]  # fmt: skip
