"""SaidFigures in a path: quantities and words -> keys of the part or wire that they are said of."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any, NamedTuple

from reviewer.model.article import with_article
from reviewer.model.quantities import with_point
from reviewer.reading.circuits.kinds_in_line import DIMENSIONS, MEANT, PROTECTORS, SPELT, WIRE, vocabulary
from reviewer.reading.circuits.tokens import NUMBER, PathError, Token, number_and_unit
from reviewer.reading.meant import meant
from reviewer.reading.problem import choices, nearest
from reviewer.reading.scalar import plain_scalar

_DASH = re.compile(rf"({NUMBER})-({NUMBER})([A-Za-z]+)?")
#: what a kind of part may be given, for the sentence about a figure that does not fit
_EXAMPLES = {
    WIRE: "`20 AWG 1.2 m`",
    "load": "`1.2 A`, `peak 2 A`, `9 to 32 V`, `55 W`, `motor`",
    "instrument": "`1.2 A`, `peak 2 A`, `9 to 32 V`",
    "diode": "`30 A`, `drop 0.45 V`, `Schottky`",
    "bus": "`60 A`",
}

CUT_NUMBER = "the decimal comma cuts the number; write `{}`, with a point"
#: units of a number that may be of anything, and those of each dimension
ANY = ("A", "AWG", "m")
_UNITS = {"current": ("A",), "power": ("W",), "size": ("AWG",), "length": ("m", "ft")}


class Figure(NamedTuple):
    """A value, and the index in the path at which it stands."""

    value: Any
    at: int


class Measure(NamedTuple):
    """A quantity: its ends as texts (the second empty where it has one figure), its unit, and the
    index of the token after it."""

    low: str
    high: str
    unit: str
    after: int

    @property
    def text(self) -> str:
        """As the long form has it."""
        return f"{self.low} to {self.high} {self.unit}" if self.high else f"{self.low} {self.unit}"


def measure(tokens: Sequence[Token], at: int, fitting: Sequence[str] = ANY) -> Measure | None:
    """The quantity that begins at a token; None where none does. ``fitting`` are units that a number
    without one may be given.

    Raises :class:`PathError` for a number without a unit.
    """
    first = tokens[at]
    dash = None if first.sign or first.quoted else _DASH.fullmatch(first.text)
    if dash:
        unit, after = _unit(tokens, at + 1, dash[3] or "", first, fitting)
        return Measure(dash[1], dash[2], unit, after)
    found = number_and_unit(first)
    if found is None:
        return None
    low, unit = found
    after = at + 1
    if _word(tokens, after) != "to":
        unit, after = _unit(tokens, after, unit, first, fitting)
    if _word(tokens, after) != "to":
        return Measure(low, "", unit, after)
    second = number_and_unit(tokens[after + 1]) if after + 1 < len(tokens) else None
    if second is None:
        raise PathError(first.at, f"`{low} to` lacks its second number; write for example `9 to 32 V`")
    high, own = second
    own, after = _unit(tokens, after + 2, own, tokens[after + 1], fitting)
    if unit and unit != own:
        raise PathError(first.at, f"a range has one unit: `{low} {unit} to {high} {own}` has two")
    return Measure(low, high, own, after)


def begins_measure(tokens: Sequence[Token], at: int) -> bool:
    """Whether a number begins at a token, which may lack its unit."""
    if at >= len(tokens):
        return False
    token = tokens[at]
    return number_and_unit(token) is not None or bool(not token.quoted and _DASH.fullmatch(token.text))


def unit_follows(tokens: Sequence[Token], at: int) -> bool:
    """Whether the number at a token has its unit."""
    found = number_and_unit(tokens[at])
    return bool(found and (found[1] or _word(tokens, at + 1) in (*DIMENSIONS, "to")))


def _word(tokens: Sequence[Token], at: int) -> str:
    return tokens[at].text if at < len(tokens) and not tokens[at].sign and not tokens[at].quoted else ""


def decimal_comma(tokens: Sequence[Token], at: int, number: Token) -> str:
    """What a number with a decimal comma is with a point, with its unit; "" where no comma cuts it."""
    if at + 1 >= len(tokens) or tokens[at].text != "," or not tokens[at].sign:
        return ""
    found = number_and_unit(tokens[at + 1])
    touching = tokens[at].at == number.at + len(number.text) and tokens[at + 1].at == tokens[at].at + 1
    if not touching or found is None:
        return ""
    unit = found[1] or _word(tokens, at + 2)
    return with_point(f"{number.text},{found[0]} {unit}") if unit in DIMENSIONS else ""


def _unit(
    tokens: Sequence[Token], at: int, unit: str, number: Token, fitting: Sequence[str]
) -> tuple[str, int]:
    """The unit of a number, with the index of the token after it."""
    if not unit and (whole := decimal_comma(tokens, at, number)):
        raise PathError(number.at, CUT_NUMBER.format(whole))
    if not unit:
        unit, at = _word(tokens, at), at + 1
    if unit in DIMENSIONS:
        return unit, at
    if unit.upper() == "AWG":
        return "AWG", at
    if unit.lower() in SPELT:
        spelt = f"{number.text.removesuffix(unit)} {SPELT[unit.lower()]}"
        raise PathError(number.at, f"`{unit}` is not a unit; write `{spelt}`")
    digits = number.text.removesuffix(unit)
    if number.text == digits:  # what stands behind a blank may be anything
        raise PathError(
            number.at,
            f"`{digits}` has no known unit; write for example {choices(f'{digits} {u}' for u in fitting)}",
        )
    near = nearest(unit, DIMENSIONS)
    raise PathError(
        number.at,
        f"`{unit}` is not a unit{near}; write for example {choices(f'{digits} {u}' for u in fitting)}",
    )


class SaidFigures:
    """The figures of one part or wire, as keys of the long form.

    ``values`` has each key with its value and place.
    """

    def __init__(self, kind: str, what: str):
        self.kind, self.what = kind, what
        self.known = vocabulary(kind)
        self.values: dict[str, Figure] = {}

    def item(self, tokens: Sequence[Token]) -> None:
        """Take one figure, all of its tokens. Raises :class:`PathError`."""
        if begins_measure(tokens, 0) and (found := measure(tokens, 0, self.fitting())):
            self._all(tokens, found.after)
            self.quantity(found, tokens[0].at)
            return
        count = self._key_length(tokens)
        if count:
            self._keyed(_joined(tokens[:count]), tokens, count)
            return
        number = next((i for i in range(1, len(tokens)) if begins_measure(tokens, i)), len(tokens))
        self.word(_joined(tokens[:number]), tokens[0].at)

    def fitting(self) -> tuple[str, ...]:
        """Units of what a figure without a key may still be here."""
        meanings = MEANT.get(self.kind, {}).items()
        units = [
            u for dimension, key in meanings if key not in self.values for u in _UNITS.get(dimension, ())
        ]
        return tuple(units) or ANY

    def quantity(self, found: Measure, at: int) -> None:
        """Take a quantity without a key. Raises :class:`PathError`."""
        dimension = DIMENSIONS[found.unit]
        if dimension == "voltage" and found.high and "minimum" in self.known.keys:
            self.put("minimum", f"{found.low} {found.unit}", at)
            self.put("maximum", f"{found.high} {found.unit}", at)
            return
        keys = MEANT.get(self.kind, {})
        if dimension not in keys:
            labelled = self.kind in PROTECTORS and "rating" in self.values
            quoted = f"; a label has quotes, `'{found.text}'`" if labelled else ""
            raise PathError(
                at, f"`{found.text}` does not fit {self._a_kind()}{self._takes(dimension)}{quoted}"
            )
        self.put(keys[dimension], found.text, at)

    def word(self, word: str, at: int) -> None:
        """Take a word that says its key too, such as ``motor``. Raises :class:`PathError`."""
        word_known = self.known.words.get(word) or self.known.words.get(word.lower())
        if word_known:
            self.put(*word_known, at)
            return
        if word in self.known.keys:
            raise PathError(at, f"`{word}` lacks its value; write for example `{word} ...`")
        near = meant("figures", word) or nearest(word.lower(), [*self.known.words, *self.known.keys])
        raise PathError(at, f"`{word}` is not a figure of {self._a_kind()}{near}{self._takes('')}")

    def put(self, key: str, value: Any, at: int) -> None:
        """Take the value of a key. Raises :class:`PathError` where it was given before."""
        if key in self.values:
            raise PathError(at, f"{self.what}: `{key}` is given twice: {self.values[key].value} and {value}")
        self.values[key] = Figure(value, at)

    def near(self, word: str) -> bool:
        """Whether a word says something of the kind, or nearly so."""
        known = [*self.known.words, *self.known.keys]
        return word.lower() in known or bool(nearest(word.lower(), known))

    def is_key(self, token: Token) -> bool:
        """Whether a word is a key that takes a value."""
        return not token.quoted and self.known.keys.get(token.text, "flag") != "flag"

    def _key_length(self, tokens: Sequence[Token]) -> int:
        """How many words at the start are a key with a value after it; 0 for none."""
        for count in range(min(4, len(tokens) - 1), 0, -1):
            if _joined(tokens[:count]) in self.known.keys:
                return count
        return 0

    def _keyed(self, key: str, tokens: Sequence[Token], start: int) -> None:
        form, first = self.known.keys[key], tokens[start]
        rest = tokens[start:]
        if key == "positions" and self.kind == "switch":
            names = first.text.split("/")
            if len(rest) != 1 or len(set(names)) != 2 or not all(names):
                said = "a switch in a line has two positions, the second one closed: `positions down/up`"
                raise PathError(first.at, f"{said}; write one of more under `parts`")
            self.put(key, names, first.at)
        elif form == "group":
            said = f"`{key}` has several lines; write {self.what} under `parts`, and its name alone here"
            raise PathError(first.at, said)
        elif form == "list":
            self.put(key, _list_of(rest), first.at)
        elif form in ("flag", "count") or (len(rest) == 1 and rest[0].quoted):
            self._all(tokens, start + 1)
            self.put(key, first.text if first.quoted else plain_scalar(first.text), first.at)
        elif begins_measure(rest, 0) and unit_follows(rest, 0) and (found := measure(rest, 0)):
            self._all(rest, found.after)
            self.put(key, found.text, first.at)
        else:
            self.put(key, " ".join(t.text for t in rest), first.at)

    def _all(self, tokens: Sequence[Token], after: int) -> None:
        if after < len(tokens):
            raise PathError(
                tokens[after].at, f"`{tokens[after].text}` follows a figure; figures are separated by commas"
            )

    def _a_kind(self) -> str:
        return with_article(self.kind)

    def _takes(self, dimension: str) -> str:
        """What figures a kind takes, as the end of a sentence."""
        if dimension == "voltage" and self.kind in _EXAMPLES and self.kind not in (WIRE, "bus"):
            keys = [
                k for k in ("minimum", "maximum", "nominal", "drop", "reverse-rating") if k in self.known.keys
            ]
            return f"; say which: {choices(f'{k} 14 V' for k in keys)}"
        example = _EXAMPLES.get(self.kind) or (
            "`5 A`" if self.kind in (*PROTECTORS, "switch", "shunt") else ""
        )
        example = example or choices(list(self.known.keys)[:4])
        return f"; write for example {example}"


def list_is_open(tokens: Sequence[Token]) -> bool:
    """Whether the last word of some stands in a list as the long form has it, of which the `]` is to come."""
    opened = [i for i, token in enumerate(tokens) if not token.quoted and token.text.startswith("[")]
    return bool(opened) and not any(token.text.endswith("]") for token in tokens[opened[-1] :])


def _list_of(tokens: Sequence[Token]) -> list[str]:
    """The entries of a list, which may stand in the `[ ]` of the long form."""
    words = [token.text for token in tokens]
    if words[0].startswith("[") and words[-1].endswith("]") and not tokens[0].quoted:
        words = [words[0][1:], *words[1:]]
        words = [*words[:-1], words[-1][:-1]]
    return [word for word in words if word]


def _joined(tokens: Sequence[Token]) -> str:
    return "-".join(t.text for t in tokens)
