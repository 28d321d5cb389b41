"""Gathers the problems of one file, and turns its groups of keys into pieces of the model, each
validated by itself."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from pydantic import ValidationError

from reviewer.model.fields import Piece
from reviewer.model.places import Spot
from reviewer.reading.explain import Mistake, explained
from reviewer.reading.problem import Problem, problem_at, shown
from reviewer.reading.remainder import remainder
from reviewer.reading.yaml_events import Places, Refused

#: a section of one group of keys -> how it may be written
SECTIONS = {
    "aircraft": "aircraft: {name: Tourer, nominal: 14 V, airframe: metal, stage: concept}",
    "operation": "operation: {normal: cruise, states: {cruise: {engine: running}}}",
    "watch": "watch: {checks: {reserve: {state: reserve-check, watch: [bus-volts]}}}",
}
#: a section of entries by name -> how one of them may be written
_ENTRIES = {
    "parts": "{kind: load}",
    "wires": "{from: main-bus.stud-1, to: fuel-pump-breaker.line}",
    "functions": "{any: 1, of: [left-ignition, right-ignition], loss: catastrophic}",
    "operation/states": "{engine: running, switches: {master: up}}",
    "operation/phases": "{state: cruise, time: 90 min}",
    "operation/actions": "{move: {ignition-source: reserve}}",
}


def _for_example(at: str) -> str:
    """How to write a group of keys at a pointer, where something else was found."""
    if at in SECTIONS:
        return f"; write for example `{SECTIONS[at]}`"
    if at in _ENTRIES:
        return f"; write each entry by its name, as `NAME: {_ENTRIES[at]}`, without `-` or brackets"
    section, _, name = at.rpartition("/")
    return f"; write for example `{name}: {_ENTRIES[section]}`" if section in _ENTRIES else ""


class Collector:
    """The problems of one file, and which of its values are mistaken, so that no check rests on one
    of them.

    ``unread`` are words of circuits with a mistake, which may be names of what is not made.
    """

    def __init__(
        self, values: Places, keys: Places, problems: list[Problem], unread: Collection[str] = frozenset()
    ):
        self.values, self.keys, self.problems, self.unread = values, keys, problems, unread
        self._mistaken: set[str] = set()
        self._doubtful: set[str] = set()

    def say(self, at: str, message: str, *, key: bool = False) -> None:
        """A problem at a pointer; ``key`` puts it at the key instead of the value."""
        place: Spot | None = None
        where = at
        while place is None:
            place = (
                (self.keys.get(where) if key else None)
                or self.values.get(where)
                or ((1, 1) if not where else None)
            )
            where = where.rpartition("/")[0]
        self.problems.append(problem_at(place, at, message))

    def refer(self, at: str, message: str, *, key: bool = False) -> None:
        """A problem of a reference, unless the value at the pointer or about it is mistaken and was
        reported."""
        if at in self._doubtful:
            return
        where = at
        while where:
            if where in self._mistaken:
                return
            where = where.rpartition("/")[0]
        self.say(at, message, key=key)

    def sound(self, at: str, *keys: str) -> bool:
        """Whether the values of these keys of the piece at a pointer have no mistake in them."""
        return not self._doubtful or not any(f"{at}/{key}" in self._doubtful for key in keys)

    def group(self, value: Any, at: str, what: str) -> dict[str, Any]:
        """The value as a mapping; a problem and an empty one where it is not."""
        if isinstance(value, dict):
            return value
        if value is not Refused:
            self.say(at, f"expected {what}, found {shown(value)}{_for_example(at)}")
        return {}

    def piece(self, model: type[Piece], value: Any, at: str, what: str) -> Any:
        """One piece of the model; with a problem for each mistake in it, what is left of it.

        None for no group of keys.
        """
        if value is Refused:
            return None
        if not isinstance(value, dict):
            self.say(at, f"expected {what}, a group of keys, found {shown(value)}{_for_example(at)}")
            return None
        try:
            return model.model_validate(value)
        except ValidationError as error:
            mistakes = explained(error, model, value, at, what, self._without_colon)
            for mistake in mistakes:
                self._take(mistake, at)
            return remainder(model, value, mistakes)

    def _take(self, mistake: Mistake, piece: str) -> None:
        self._mistaken.add(mistake.value_at)
        where = mistake.value_at
        while where != piece and where:
            self._doubtful.add(where)
            where = where.rpartition("/")[0]
        if mistake.message:
            self.say(mistake.at, mistake.message, key=mistake.key)

    def _without_colon(self, at: str) -> bool:
        """Whether a key stands without a colon after it: what follows a comma in text that is not
        in quotes."""
        if at not in self.keys or at not in self.values:
            return False
        (line, column), (ends, end) = self.keys[at], self.values[at]
        return line == ends and end - column <= len(at.rpartition("/")[2])
