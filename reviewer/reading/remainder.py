"""What is left of a piece with mistakes, so that the references in it are checked in the same run."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import Any

from pydantic import ValidationError

from reviewer.model.fields import Piece, key_of
from reviewer.reading.explain import Mistake

#: stands for text that is mistaken: it fits a name and a terminal, and names nothing
_ANY_TEXT = "?.?"


def remainder(model: type[Piece], value: dict[str, Any], mistakes: Sequence[Mistake]) -> Piece:
    """A piece with all of ``value`` that has no mistake.

    A required key that is mistaken has the value of its example.
    """
    left = copy.deepcopy(value)
    for mistake in mistakes:
        _take_out(left, mistake)
    examples = {
        key_of(name): field.examples for name, field in model.model_fields.items() if field.is_required()
    }
    filled: set[str] = set()
    while True:
        for key, known in examples.items():
            if key not in left and known:
                left[key] = copy.deepcopy(known[0])
                filled.add(key)
        try:
            return model.model_validate(left)
        except ValidationError as error:
            wrong: set[Any] = {entry["loc"][0] for entry in error.errors(include_url=False)} & left.keys()
            if not wrong or wrong & filled:
                raise
            for key in wrong:
                del left[key]


def _take_out(left: dict[str, Any], mistake: Mistake) -> None:
    """Removes a mistaken value: text becomes other text, an entry of a group goes, and else the
    whole key of the piece."""
    *way, last = mistake.path
    owner: Any = left
    for step in way:
        try:
            owner = owner[step]
        except (KeyError, IndexError, TypeError):  # taken out with another mistake
            return
    if mistake.of_text and isinstance(owner, (dict, list)):
        owner[last] = _ANY_TEXT
    elif isinstance(owner, dict) and last in owner:
        del owner[last]
    elif way:
        left.pop(way[0], None)
