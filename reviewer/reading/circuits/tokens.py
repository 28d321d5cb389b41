"""The words and signs of a path."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import NamedTuple

_TOKEN = re.compile(
    r"""[>(),;] | \+(?=\s|$)
    | (?:"[^"]*"|'[^']*'|[^\s>(),;"])(?:"[^"]*"|[^\s>(),;"])*
    | "  # that is not closed
    """,
    re.VERBOSE,
)
_SIGNS = frozenset(">+(),;")
_ARROWS = frozenset({"-", "--", "=", "→", "->", "=>", "—", "–"})
#: a gauge as wire is sold by it: `#18`
SOLD_GAUGE = re.compile(r"#\s?([0-9]{1,2}|0{2,4}|[1-4]/0)(?![\w/])")
NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?"
_QUANTITY = re.compile(rf"(~?(?:{NUMBER}|[1-4]/0))([A-Za-zµΩ°%][A-Za-z0-9µΩ°%]*|')?")


class Token(NamedTuple):
    """A word or a sign: its ``text`` without quotes, the index ``at`` which it begins in the path,
    the sign that it ``is`` (empty for a word), and whether it is ``quoted``."""

    text: str
    at: int
    sign: str = ""
    quoted: bool = False


class PathError(Exception):
    """A mistake in a path: the index at which it stands, and one sentence."""

    def __init__(self, at: int, message: str):
        super().__init__(at, message)
        self.at, self.message = at, message


#: takes a mistake that leaves the rest of the path readable
Say = Callable[[int, str], None]


def tokens_of(text: str) -> list[Token]:
    """The tokens of a path. Raises :class:`PathError` for quotes that are not closed."""
    found: list[Token] = []
    for match in _TOKEN.finditer(text):
        raw, start = match[0], match.start()
        if raw in _SIGNS:
            found.append(Token(raw, start, raw))
        elif raw == '"':
            raise PathError(start, 'the quotes `"` are not closed; close them, or remove them')
        elif raw in _ARROWS:
            raise PathError(start, "an arrow is written ` > `, with a space before and after it")
        elif sold := SOLD_GAUGE.fullmatch(raw):
            raise PathError(
                start, f"`{raw}` is not read; a gauge is written `{sold[1]} AWG`, a name without `#`"
            )
        elif '"' in raw or raw[0] == "'":
            found.append(Token(_unquoted(raw), start, "", raw[0] in "\"'" and len(raw) > 1))
        else:
            found.append(Token(raw, start))
    return found


def _unquoted(raw: str) -> str:
    if len(raw) > 1 and raw[0] == "'" and raw[-1] == "'":
        return raw[1:-1]
    return raw.replace('"', "")


def number_and_unit(token: Token) -> tuple[str, str] | None:
    """The number at the start of a word and the unit that follows it without a blank, which may be
    empty; None for another word."""
    if token.sign or token.quoted:
        return None
    match = _QUANTITY.fullmatch(token.text)
    return (match[1], match[2] or "") if match else None
