"""The tokens of a path one after the other, and the figures among them."""

from __future__ import annotations

import itertools
import re
from collections.abc import Collection

from reviewer.reading.circuits.figures import (
    CUT_NUMBER,
    SaidFigures,
    begins_measure,
    decimal_comma,
    list_is_open,
    measure,
    unit_follows,
)
from reviewer.reading.circuits.kinds_in_line import DIMENSIONS, MEANT, WIRE
from reviewer.reading.circuits.path_nodes import Join, Path
from reviewer.reading.circuits.tokens import PathError, Say, Token

#: `part.terminal`, no number
_TERMINAL = re.compile(r"[A-Za-z][^.]*\..+")


class FigureReader:
    """Reads figures from the ``tokens`` of a path; ``next`` is the token that comes next."""

    def __init__(self, tokens: list[Token], declared: Collection[str], say: Say, path: Path):
        self.tokens, self.declared, self.say, self.path = tokens, declared, say, path
        self.next = 0

    def _say(self, error: PathError) -> None:
        self.path.whole = False
        self.say(error.at, error.message)

    def _skip(self) -> None:
        """To the next join."""
        while (token := self._token()) is not None and token.sign not in (">", "+", ";"):
            self.next += 1

    def _token(self, ahead: int = 0) -> Token | None:
        at = self.next + ahead
        return self.tokens[at] if at < len(self.tokens) else None

    def _about(self, join: Join) -> None:
        """Quantities and words of a wire, or of all wires."""
        figures = SaidFigures(WIRE, f"wire {join.name}".strip())
        join.values = figures.values
        try:
            while (token := self._token()) is not None and (not token.sign or token.sign in "(,"):
                if token.sign == "(":
                    self._brackets(figures)
                elif token.sign == ",":
                    self.next += 1
                elif begins_measure(self.tokens, self.next):
                    self._quantity(figures)
                elif figures.is_key(token) and (value := self._token(1)) is not None and not value.sign:
                    number = begins_measure(self.tokens, self.next + 1) and unit_follows(
                        self.tokens, self.next + 1
                    )
                    found = measure(self.tokens, self.next + 1) if number else None
                    after = found.after if found else self.next + 2
                    while list_is_open(self.tokens[self.next : after]) and after < len(self.tokens):
                        after += 1
                    if token.text == "shield":
                        after += self._terminals(after)
                    figures.item([t for t in self.tokens[self.next : after] if t.sign != ","])
                    self.next = after
                elif figures.near(token.text):
                    self.next += 1
                    figures.word(token.text, token.at)
                else:
                    break
        except PathError as error:
            self._say(error)
            self._skip()

    def _terminals(self, at: int) -> int:
        """How many words from a token on are terminals: a shield may be grounded at a second one."""
        words = itertools.takewhile(lambda token: not token.sign and not token.quoted, self.tokens[at:])
        return sum(1 for _ in itertools.takewhile(lambda token: _TERMINAL.fullmatch(token.text), words))

    def _quantity(self, figures: SaidFigures) -> None:
        at = self.tokens[self.next].at
        found = measure(self.tokens, self.next, figures.fitting())
        assert found is not None
        text = found.text
        if figures.kind == WIRE and DIMENSIONS[found.unit] not in MEANT[WIRE]:
            raise PathError(
                at,
                f"`{text}` is in the place of a wire, which has a gauge and a length (`20 AWG 1.2 m`); "
                f"a part has its kind before it: `breaker {text}`",
            )
        if DIMENSIONS[found.unit] in ("size", "length") and figures.kind != WIRE:
            raise PathError(at, f"`{text}` is of a wire; write ` > ` before it")
        figures.quantity(found, at)
        self.next = found.after

    def _past_item(self) -> None:
        """To the comma or bracket at the end of an item."""
        while (token := self._token()) is not None and token.sign not in (",", ")", ">", ";"):
            self.next += 1

    def _brackets(self, figures: SaidFigures) -> None:
        opened = self.tokens[self.next]
        self.next += 1
        item: list[Token] = []
        while (token := self._token()) is not None and token.sign not in (">", ";"):
            self.next += 1
            if token.sign == "(":
                raise PathError(token.at, "brackets within brackets; figures are separated by commas")
            if token.sign not in (",", ")"):
                item.append(token)
                continue
            if token.sign == "," and list_is_open(item):
                continue
            if item and (meant := decimal_comma(self.tokens, self.next - 1, item[-1])):
                self._say(PathError(item[-1].at, CUT_NUMBER.format(meant)))
                self._past_item()
                item = []
                continue
            if item:
                try:
                    figures.item(item)
                except PathError as error:
                    self._say(error)
            item = []
            if token.sign == ")":
                return
        raise PathError(opened.at, "the bracket is not closed; write `)` after the last figure")
