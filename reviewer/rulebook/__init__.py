"""What a rule may import: the facts that it asks, and the words in which it answers."""

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import A_STATE, NotAssessable, gaps
from reviewer.model import parts
from reviewer.model.review import HazardClass
from reviewer.model.rounding import exceeds, higher, over_rated
from reviewer.network.graph import bare
from reviewer.rulebook import overvolts, remedy, return_words, sneak_remedies, trade_words
from reviewer.rulebook.batteries_apart import batteries_apart
from reviewer.rulebook.changes import checks, feeds, one_feed, own_returns, strapped, thicker
from reviewer.rulebook.numbers import (
    and_list,
    at_least,
    at_most,
    beside,
    clock,
    days,
    drain_current,
    few,
    length,
    minutes,
    percent,
    quantity,
)
from reviewer.rulebook.rule import Unmet
from reviewer.rulebook.selective import make_selective, path_of_short
from reviewer.rulebook.single_point_rules import (
    feed_or_ground,
    loss_words,
    no_channel_to_spare,
    no_move,
    of_single_points,
)
from reviewer.rulebook.starter_feeds import by_contactor
from reviewer.rulebook.subject import Subject
from reviewer.rulebook.trade_words import failed_words, kind_word, miswired, rated
from reviewer.tables.limits import allowed_drop, bond_limit, structure_return_ohms
from reviewer.tables.lookup import OutsideTable, deciding_row
from reviewer.tables.made_sizes import made_words
from reviewer.tables.practice import in_brackets, practice

__all__ = [
    "A_STATE", "Facts", "HazardClass", "NotAssessable", "OutsideTable", "Subject", "Unmet", "allowed_drop",
    "and_list", "at_least", "at_most", "bare", "batteries_apart", "beside", "bond_limit", "by_contactor",
    "checks", "clock", "days", "deciding_row", "drain_current", "exceeds", "failed_words", "feed_or_ground",
    "feeds", "few", "gaps", "higher", "in_brackets", "kind_word", "length", "loss_words", "made_words",
    "make_selective", "minutes", "miswired", "no_channel_to_spare", "no_move", "of_single_points",
    "one_feed", "over_rated", "overvolts", "own_returns", "parts", "path_of_short", "percent",
    "practice", "quantity", "rated", "remedy", "return_words", "sneak_remedies", "strapped",
    "structure_return_ohms", "thicker", "trade_words",
]  # fmt: skip
