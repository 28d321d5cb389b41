"""What a process needs before it can review: loaded once, by the process from which all others are forked."""

import numpy  # noqa: F401

import reviewer.questions.solve
import reviewer.questions.trace  # noqa: F401
from reviewer import resources, session  # noqa: F401
from reviewer.rulebook.loader import load_rules

#: the rules that come with the reviewer
RULES = load_rules([resources.folder("rules")])
