"""Plain data -> pieces of the model, with one sentence for every mistake, where it is and what to write."""

from __future__ import annotations

from typing import Any

from reviewer.model.piece import Piece
from reviewer.reading.plain import reader
from reviewer.reading.positions import Places, _Refused
from reviewer.reading.problem import Problem, shown


class Shape:
    """Validates pieces and gathers the problems of one file."""

    def __init__(self, values: Places, keys: Places, problems: list[Problem]):
        self.values, self.keys, self.problems = values, keys, problems

    def say(self, at: str, message: str, *, key: bool = False) -> None:
        """A problem at a pointer; ``key`` puts it at the key instead of the value."""
        place = None
        where = at
        while place is None:
            place = (self.keys.get(where) if key else None) or self.values.get(where) or ((1, 1) if not where else None)
            where = where.rpartition("/")[0]
        self.problems.append(Problem(*place, at, message))

    def group(self, value: Any, at: str, what: str) -> dict[str, Any]:
        """The value as a mapping; a problem and an empty one where it is not."""
        if isinstance(value, dict):
            return value
        if value is not _Refused:
            self.say(at, f"expected {what}, found {shown(value)}")
        return {}

    def piece(self, model: type[Piece], value: Any, at: str, what: str) -> Any:
        """One piece of the model, or None with a problem for each mistake in it."""
        if value is _Refused:
            return None
        if not isinstance(value, dict):
            self.say(at, f"expected {what}, a group of keys, found {shown(value)}")
            return None
        try:
            return reader(model)(value)
        except ValueError:
            from reviewer.reading.mistakes import (
                decide,  # pydantic is loaded only where a piece is not plainly right
            )

            return decide(self.say, model, value, at, what)
