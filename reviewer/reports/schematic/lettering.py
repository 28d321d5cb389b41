"""Names on the schematic: broken or cut to their room, and safe in SVG."""

from __future__ import annotations

import html
import re
from bisect import bisect_left
from collections.abc import Iterable
from functools import lru_cache
from itertools import islice, takewhile

from reviewer.reports.wording import shown

#: the end of a name that tells parts of one circuit apart: a number, or a letter by itself
_COUNTS = re.compile(r"(?:\d|[-. ]\w)$")


#: advance widths of Helvetica, which Liberation Sans and Arial share, in thousandths of the size (from
#: memory): the letters of each width; all others count as 667
_ADVANCES = {
    222: "ijl'",
    278: "ftI .,:;/!|[]\\",
    333: "r-()\u201c\u201d",
    500: "ckssvxyz",
    556: "abdeghnopqu0123456789_?$#L\u2026",
    584: "+=<>~\u2192",
    611: "TZF",
    722: "wCDHNRU",
    778: "GOQ",
    833: "mM",
    889: "%",
    944: "W",
}
_ADVANCE = {letter: width for width, letters in _ADVANCES.items() for letter in letters}


@lru_cache(maxsize=4096)
def length(text: str, size: float = 11.0) -> float:
    """How long a text is on the schematic, px, at most."""
    return sum(_ADVANCE.get(letter, 667) for letter in text) * size / 1000


def unhyphened(name: str, room: float, most: int = 3) -> list[str]:
    """A name on as few lines of ``room`` px as can be, broken after dots and spaces only; no line where
    that does not do on ``most`` lines.
    """
    lines, line = [], ""
    for piece in re.findall(r"[^.\s]*(?:\.|\s+|$)", shown(name)):
        if line and length((line + piece).rstrip()) > room:
            lines.append(line.rstrip())
            line = ""
        line += piece
    lines += [line.rstrip()] if line.strip() else []
    return lines if len(lines) <= most and all(length(one) <= room for one in lines) else []


def broken(name: str, room: int, most: int = 3) -> list[str]:
    """A name on at most ``most`` lines of ``room`` letters, where it has no room otherwise.

    It is broken after hyphens, dots and spaces, never in a word: one that is longer has a line of its
    own, a third longer at most. What does not fit is left out before the last piece, which tells parts
    of one circuit apart.
    """
    lines, line = [], ""
    longest = room + room // 3
    for piece in re.findall(r"[^-.\s]*(?:[-.]|\s+|$)", shown(name)):
        if line and len(line) + len(piece.rstrip()) > room:
            lines.append(line.rstrip())
            line = ""
        line += piece
    lines += [line.rstrip()] if line.strip() else []
    if len(lines) > most:
        lines = [*lines[: most - 1], "…" + lines[-1]]
    return [clipped(one, longest) for one in lines] or [""]


def clipped(text: str, room: int) -> str:
    """The text, where it is longer than ``room`` letters with three dots for what is left out.

    It keeps a number or a letter at its end, in which the names of parts of one circuit differ.
    """
    text = shown(text)
    if len(text) <= room:
        return text
    end = text[-2:] if _COUNTS.search(text) else ""
    return f"{text[: room - 1 - len(end)]}…{end}"


class ShortNames:
    """The names of a sheet, each cut to the room that it has so that no two of them look alike.

    Of a name that is cut its beginning and its end stand, and no other name has both.
    """

    def __init__(self, names: Iterable[str]):
        self._sorted = sorted({shown(name) for name in names})

    def within(self, name: str, room: float, size: float = 11.0) -> str:
        """The name in ``room`` px, cut before a hyphen or dot where that does; wider where all that fits is
        in another name too."""
        name = shown(name)
        if length(name, size) <= room:
            return name
        own = self._own(name)
        best, short = (False, False, 0), ""
        for begin, least in own:
            for end in range(least, len(name) - begin):
                form = _cut(name, begin, end)
                if length(form, size) > room:
                    break
                worth = (name[len(name) - end] in "-. ", end > 0, begin + end)
                best, short = max((best, short), (worth, form))
        return short or min((_cut(name, *one) for one in own), key=length, default=name)

    def _own(self, name: str) -> list[tuple[int, int]]:
        """(letters at the beginning, fewest at the end) by which a name differs from all others."""
        found = []
        for begin in range(1, len(name) - 1):
            head = name[:begin]
            first = bisect_left(self._sorted, head)
            alike = takewhile(lambda other: other.startswith(head), islice(self._sorted, first, None))  # noqa: B023
            common = [_common_end(name, other) for other in alike if other != name]
            found.append((begin, 1 + max(common, default=0)))
        return found


def _cut(name: str, begin: int, end: int) -> str:
    return f"{name[:begin]}\u2026{name[len(name) - end :]}"


def _common_end(one: str, other: str) -> int:
    """How many letters at their ends two names have in common."""
    return sum(
        1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one[::-1], other[::-1], strict=False))
    )


def safe(text: str) -> str:
    """A text as it stands in SVG."""
    return html.escape(shown(text))
