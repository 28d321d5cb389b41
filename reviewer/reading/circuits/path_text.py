"""The text of a path, and where each of its characters stands in the file."""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import Any

_BY_STYLE = {
    "'": re.compile(r"''|[^']", re.DOTALL),
    '"': re.compile(r"\\(?:x..|u.{4}|U.{8}|\r?\n|.)|[^\\]", re.DOTALL),
}
_ESCAPES = {
    "0": "\0",
    "a": "\a",
    "b": "\b",
    "t": "\t",
    "n": "\n",
    "v": "\v",
    "f": "\f",
    "r": "\r",
    "e": "\x1b",
}
_BLOCK_HEAD = re.compile(r"[|>][-+0-9]*[ \t]*(?:#[^\n]*)?\n")


class PathText(str):
    """A scalar of a file that knows its places.

    ``source`` is the file's text; ``start`` and ``end`` say where the scalar stands in it,
    ``first`` line and column of its start; ``style`` is its quote, ``|`` or ``>``, or empty; ``refused`` that
    it has an anchor or a tag before it.
    """

    source: str
    first: tuple[int, int]
    start: int
    end: int
    style: str
    refused: bool
    _offsets: list[int] | None

    @classmethod
    def of(cls, source: str, event: Any) -> PathText:
        """The text of a scalar event of a ``source``."""
        made, start = cls(event.value), event.start_mark
        made.source, made.first = source, (start.line + 1, start.column + 1)
        made.start, made.end, made.style = start.index, event.end_mark.index, event.style or ""
        made.refused = bool(event.anchor or event.tag not in (None, "!"))
        made._offsets = None
        return made

    def place(self, at: int) -> tuple[int, int]:
        """Line and column, from 1, of the character at an index of the text."""
        if self._offsets is None:
            self._offsets = self._found()
        offset = self._offsets[min(at, len(self._offsets) - 1)] if self._offsets else self.start
        return self._line(offset)

    def words(self) -> set[str]:
        """All that may be a name in it, and in a comment that may be the rest of it."""
        rest = self.rest_of_line() if " #" in self.rest_of_line() else ""
        return {w.partition(".")[0] for w in re.split(r"[\s>(),;+#\"']+", f"{self} {rest}")}

    def rest_of_line(self) -> str:
        """What stands after the scalar on its last line."""
        stop = self.source.find("\n", self.end)
        return self.source[self.end : stop if stop >= 0 else len(self.source)]

    def _line(self, offset: int) -> tuple[int, int]:
        line, column = self.first
        below = self.source.count("\n", self.start, offset)
        if not below:
            return line, column + offset - self.start
        return line + below, offset - self.source.rfind("\n", self.start, offset)

    def _found(self) -> list[int]:
        """For each character its offset in the source.

        Folding and escapes change blanks and line ends alone, so that all other characters are
        those of the source, in order; where they are not, each stands at the start.
        """
        there = [(c, at) for c, at in self._written() if not c.isspace()]
        solid = [i for i, c in enumerate(self) if not c.isspace()]
        if len(there) != len(solid) or any(self[i] != c for i, (c, _) in zip(solid, there, strict=True)):
            return []
        found = []
        for i in range(len(self)):
            number = bisect_right(solid, i) - 1
            found.append(there[number][1] + (i - solid[number]) if number >= 0 else self.start)
        return found

    def _written(self) -> list[tuple[str, int]]:
        """The characters of the source that make the value, with their offsets."""
        start, end = self.start, self.end
        if self.style in ("|", ">"):
            head = _BLOCK_HEAD.match(self.source, start)
            start = head.end() if head else start
        if self.style not in _BY_STYLE:
            return [(self.source[at], at) for at in range(start, end)]
        found = _BY_STYLE[self.style].finditer(self.source, start + 1, end - 1)
        return [(_character(match[0], self.style), match.start()) for match in found]


def _character(text: str, style: str) -> str:
    if len(text) == 1 or style == "'":
        return text[0]
    if text[1] in "xuU":
        return chr(int(text[2:], 16))
    return _ESCAPES.get(text[1], text[1])
