"""The figures of one call put into the drawing of an assembly, each with its place."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Mapping
from typing import Any

from reviewer.model.places import Spot
from reviewer.model.record import record
from reviewer.reading.assemblies.definition import Assembly
from reviewer.reading.assemblies.origin import CallOrigin, filled_at
from reviewer.reading.circuits.path_text import PathText
from reviewer.reading.problem import nearest
from reviewer.reading.sizes import LONGEST_PATH

_BLANK = re.compile(r"\$([a-z][a-z0-9]*(?:-[a-z0-9]+)*)")


class NotFilled(Exception):
    """A text that cannot be filled, in one sentence; ``at`` is the index in it."""

    def __init__(self, at: int, message: str):
        super().__init__(at, message)
        self.at, self.message = at, message


@record
class Argument:
    """What stands for a parameter: its ``value``, and the ``place`` of the call that gives it; None
    for a default of the assembly."""

    value: Any
    place: Spot | None

    @property
    def text(self) -> str:
        """As it stands within a longer text."""
        if isinstance(self.value, list):
            return " ".join(map(str, self.value))
        return str(self.value).lower() if isinstance(self.value, bool) else str(self.value)

    def spot(self, index: int) -> Spot | None:
        """The place of one of its characters."""
        if self.place is not None and isinstance(self.value, PathText):
            return self.value.place(index)
        return self.place


class FilledPath(PathText):
    """The text of a path in which parameters are filled; each piece of it knows its places."""

    starts: list[int]
    places: list[Callable[[int], Spot]]

    @classmethod
    def made(cls, pieces: list[tuple[str, Callable[[int], Spot]]], drawn: PathText) -> FilledPath:
        """The text of several pieces; ``drawn`` is the text in the drawing."""
        text = cls("".join(piece for piece, _ in pieces))
        for name in ("source", "first", "start", "end", "style", "refused"):
            setattr(text, name, getattr(drawn, name))
        text.starts, text.places, at = [], [], 0
        for piece, place in pieces:
            text.starts.append(at)
            text.places.append(place)
            at += len(piece)
        return text

    def place(self, at: int) -> Spot:
        """Line and column of the character at an index: in the drawing, or in the call."""
        number = max(bisect_right(self.starts, at) - 1, 0)
        return self.places[number](at - self.starts[number])


class Filling:
    """One call of an ``assembly``: what is installed as ``name`` at the place ``called``."""

    def __init__(self, assembly: Assembly, name: str, called: Spot, arguments: Mapping[str, Argument]):
        self.assembly, self.name, self.called = assembly, name, called
        self.arguments = {"name": Argument(name, None), **arguments}

    def drawn(self, place: Spot) -> Spot:
        """A place of the drawing, as a place of the design file."""
        return self._origin(place, False).spot

    def left_out(self, text: str) -> bool:
        """Whether a text is a parameter that this call does not give."""
        argument = self.arguments.get(text[1:]) if text.startswith("$") else None
        return argument is not None and argument.value == ""

    def _origin(self, drawn: Spot, own: bool) -> CallOrigin:
        called = int(self.called[0]), self.called[1]
        return CallOrigin(self.name, self.assembly.name, self.assembly.file, drawn, called, own)

    def value(self, value: Any, place: Spot) -> tuple[Any, Spot]:
        """A value of the drawing, filled, and its place. Raises :class:`NotFilled`."""
        if not isinstance(value, str) or "$" not in value:
            return value, self.drawn(place)
        if isinstance(value, PathText):
            return self._path(value), self.drawn(place)
        pieces = list(self._pieces(value))
        given = next(
            (a.spot(0) for a in (p for p in pieces if isinstance(p, Argument)) if a.place is not None), None
        )
        at = filled_at(self._origin(place, True), given) if given else self.drawn(place)
        if len(pieces) == 1 and isinstance(pieces[0], Argument):
            alone = pieces[0].value
            return (str(alone) if isinstance(alone, str) else alone), at
        text = "".join(p.text if isinstance(p, Argument) else p for p in pieces)
        if len(text) > LONGEST_PATH:
            raise NotFilled(
                0, f"a text of {len(text):,} characters is not read; {LONGEST_PATH:,} is the most"
            )
        return text, at

    def _path(self, text: PathText) -> FilledPath:
        made: list[tuple[str, Callable[[int], Spot]]] = []
        at = 0
        for piece in self._pieces(text):
            if isinstance(piece, Argument):
                made.append((piece.text, self._of_argument(piece, text, at)))
                at = text.index("$", at)
                at += len(self._name_at(text, at)) + 1
            else:
                made.append((piece, self._of_drawing(text, at)))
                at += len(piece)
        return FilledPath.made(made, text)

    def _of_drawing(self, text: PathText, start: int) -> Callable[[int], Spot]:
        return lambda index: self.drawn(text.place(start + index))

    def _of_argument(self, argument: Argument, text: PathText, start: int) -> Callable[[int], Spot]:
        def place(index: int) -> Spot:
            given = argument.spot(index)
            if given is None:
                return self.drawn(text.place(start))
            return filled_at(self._origin(text.place(start), True), given)

        return place

    def _pieces(self, text: str) -> list[str | Argument]:
        found: list[str | Argument] = []
        at = 0
        for match in _BLANK.finditer(text):
            if match.start() > at:
                found.append(text[at : match.start()])
            name = self._name_at(text, match.start())
            found.append(self.arguments[name])
            at = match.start() + 1 + len(name)
        if at < len(text):
            found.append(text[at:])
        length = sum(len(p.text if isinstance(p, Argument) else p) for p in found)
        if length > LONGEST_PATH:
            raise NotFilled(0, f"a text of {length:,} characters is not read; {LONGEST_PATH:,} is the most")
        return found

    def _name_at(self, text: str, at: int) -> str:
        """The longest parameter that is named at a ``$``: ``$bus-volts`` may be ``$bus`` with ``-volts``."""
        match = _BLANK.match(text, at)
        assert match is not None
        words = match[1].split("-")
        for count in range(len(words), 0, -1):
            if (name := "-".join(words[:count])) in self.arguments:
                return name
        near = nearest(match[1], self.arguments) or nearest(words[0], self.arguments)
        known = ", ".join(f"`${name}`" for name in self.arguments)
        raise NotFilled(at, f"`${match[1]}` is not a parameter{near}; there are {known}")
