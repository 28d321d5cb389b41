"""A problem of a design file: where it is, what was found, what to write; and the words in which it
says so."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from reviewer.model.places import CellPlace, Spot
from reviewer.model.record import record
from reviewer.reading.scalar import plain_scalar
from reviewer.reading.similar_names import likeliest

#: what ends or turns text without quotes into something else
_SPECIAL = re.compile(r"[,\[\]{}#]|: ")

#: letters of a word of which others have half by chance, and the share of them that must be alike
_SHORT, _NEARLY_ALL = 3, 0.75
#: keys that are suggested for one word
_FEW = 2
#: how the name that was meant begins
DID_YOU_MEAN = " (did you mean "


@record
class Problem:
    """One mistake.

    ``line`` and ``column`` count from 1; ``pointer`` names the place in the file's structure; ``cell``
    is where it stands in a table of the design. One of the ``whole`` file has no place in it.
    """

    line: int
    column: int
    pointer: str
    message: str
    cell: CellPlace | None = None
    whole: bool = False


def of_file(message: str) -> Problem:
    """What is wrong with a file as a whole: it is not there, empty or too large."""
    return Problem(1, 1, "", message, whole=True)


def problem_at(spot: Spot, pointer: str, message: str) -> Problem:
    """A mistake at a place of the file or of one of its tables."""
    return Problem(spot[0], spot[1], pointer, message, spot if isinstance(spot, CellPlace) else None)


#: mistakes that the text of an exception shows
_SHOWN = 10


class Unreadable(Exception):
    """A design file that cannot be reviewed; ``file`` and every ``Problem`` found in it.

    ``lines`` are those of the file as it was read, none where it could not be.
    """

    #: what was not done with it
    undone = "reviewed"

    def __init__(self, file: str, problems: list[Problem], lines: Sequence[str] = ()):
        super().__init__(file, problems, lines)
        self.file, self.lines = file, lines
        self.problems = sorted(problems, key=_in_order)

    def __str__(self) -> str:
        many = "" if len(self.problems) == 1 else "s"
        shown = [
            f"\n  {p.message}" if p.whole else f"\n  line {p.line}, column {p.column}: {p.message}"
            for p in self.problems[:_SHOWN]
        ]
        more = len(self.problems) - len(shown)
        more_words = f"\n  and {more} more" if more else ""
        return f"{self.file}: {len(self.problems)} mistake{many}{''.join(shown)}{more_words}"


class UnreadableCards(Unreadable):
    """Cards that were filled in and cannot be read."""

    undone = "read"


def _in_order(problem: Problem) -> tuple[object, ...]:
    """Those of the design file first, then those of each table."""
    table = (problem.cell.table, problem.cell.sheet) if problem.cell else ("", "")
    return (*table, problem.line, problem.column, problem.pointer, problem.message)


def nearest(word: object, known: Iterable[str]) -> str:
    """`` (did you mean `x`?)`` where a known name is near, else nothing."""
    from difflib import SequenceMatcher, get_close_matches

    text = str(word)[:100]
    if text[:1].isdigit():
        return ""  # one number is not nearer than another
    near = get_close_matches(text, likeliest(text, list(known)), _FEW + 1, 0.6)
    ratios = [SequenceMatcher(None, other, text).ratio() for other in near]
    alike = [name for name, ratio in zip(near, ratios, strict=True) if ratio == ratios[0]]
    near = sorted(alike) if 1 < len(alike) <= _FEW else near[:1]
    # two letters of `down` make `on`: of a short word nearly all must be there, or it is cut short
    if near and min(len(text), len(near[0])) <= _SHORT and not near[0].startswith(text):
        near = near if SequenceMatcher(None, text, near[0]).ratio() >= _NEARLY_ALL else []
    return did_you_mean(near)


def nearest_names(word: str, known: Iterable[str]) -> list[str]:
    """The few names that are the nearest to one, however far: those that share a word with it first."""
    from difflib import SequenceMatcher

    text = word[:100]
    own = set(text.split("-"))

    def order(name: str) -> tuple[bool, float, str]:
        near = SequenceMatcher(None, name, text).ratio()
        return own.isdisjoint(name.split("-")), -near, name

    return sorted(likeliest(text, list(known)), key=order)[: _FEW + 1]


def instead(word: object, known: Sequence[str]) -> str:
    """What may be written in the place of a key that there is not: the one that is near, else all.

    Near is also a key that is a part of the word, or of which the word is a part: ``grade`` for
    ``aircraft-grade``.
    """
    own = set(str(word)[:100].split("-"))
    sharing = [key for key in known if _within(own, set(key.split("-")))]
    near = nearest(word, known) or did_you_mean(sharing if len(sharing) <= _FEW else ())
    return near or f"; it may have {', '.join(known)}"


def _within(words: set[str], others: set[str]) -> bool:
    return words <= others or others <= words


def did_you_mean(words: Sequence[str]) -> str:
    """`` (did you mean `x` or `y`?)``, or nothing where there are no words."""
    return f"{DID_YOU_MEAN}{' or '.join(f'`{w}`' for w in words)}?)" if words else ""


def choices(words: Iterable[str]) -> str:
    """Words that may be written, one after the other."""
    return ", ".join(f"`{word}`" for word in words)


def quoted(value: object) -> str:
    """A value as text in quotes, as a file has it."""
    return f'"{flow(value)}"'


def flow(value: Any) -> str:
    """A value as a file has it on one line.

    Text that would be read as something else has quotes.
    """
    if isinstance(value, dict):
        return "{" + ", ".join(k if v is None else f"{k}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(flow, value)) + "]"
    if isinstance(value, str):
        return f'"{value}"' if plain_scalar(value) != value or _SPECIAL.search(value) else value
    return str(value).lower() if isinstance(value, bool) else str(value)


def shown(value: Any) -> str:
    """A value as a message shows it, cut to a line."""
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, (int, float)):
        return f"the number {str(value)[:40]}"
    if not isinstance(value, str):
        return "what is refused above"
    text = value if len(value) <= 60 else value[:59] + "…"
    return f"`{text}`"
