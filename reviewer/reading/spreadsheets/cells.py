"""The text of a cell -> a figure as the long form of a design has it, or one sentence of what is wrong."""

from __future__ import annotations

import re
from functools import lru_cache

from reviewer.model.article import with_article
from reviewer.model.quantities import with_point
from reviewer.reading.circuits.figures import measure
from reviewer.reading.circuits.kinds_in_line import DIMENSIONS, SPELT
from reviewer.reading.circuits.tokens import NUMBER, PathError, tokens_of
from reviewer.reading.problem import choices, shown
from reviewer.reading.spreadsheets.same_mistakes import COMMA, NO_UNIT

#: what an empty cell is written as; and words that say yes or no where a name belongs
_NOTHING = frozenset({"", "-", "--", "–", "—"})
_NO_NAMES = frozenset(
    {"yes", "no", "y", "n", "x", "none", "n/a", "na", "true", "false", "nil", "tbd", "?", "0"}
)
_YES, _NO = frozenset({"yes", "y", "x", "true"}), frozenset({"no", "n", "false"})
_PLAIN = re.compile(rf"~?\s*(?:{NUMBER}|[1-4]/0)(?:\s*(?:to|-|–)\s*{NUMBER})?")
_SPELT_OUT = re.compile(rf"(~?\s*(?:{NUMBER}|[1-4]/0)(?:\s*(?:to|-)\s*{NUMBER})?)\s*([A-Za-zΩ²#']+)\.?")
_AWG_FIRST = re.compile(r"(?:AWG|#)\s*([0-9]{1,2}|[1-4]/0)", re.IGNORECASE)
_WITH_COMMA = re.compile(r"(?<![0-9.,])([0-9]+),([0-9]+)(?![0-9.,])")
_COMMA = re.compile(r"[0-9],[0-9]")
_IN_DIMENSION = {
    "current": ("A",),
    "power": ("W",),
    "size": ("AWG", "mm2"),
    "length": ("m", "ft"),
    "voltage": ("V",),
}
_EXAMPLE = {"AWG": "20", "mm2": "0.5"}
_CALLED = {"size": "wire size"}


class CellError(Exception):
    """What is wrong with a cell, as one sentence."""


def is_empty(text: str) -> bool:
    """Whether a cell says nothing; a dash is how some write that."""
    return text in _NOTHING


def name_in(text: str, what: str) -> str:
    """A name. Raises :class:`CellError` for a word that is none."""
    if text.lower() in _NO_NAMES:
        raise CellError(
            f"`{text}` is not the name of {with_article(what)}; name it, or leave the cell empty for none"
        )
    return text


def flag_in(text: str) -> bool | str:
    """True or False for a word that says so; any other text as it is."""
    return True if text.lower() in _YES else False if text.lower() in _NO else text


@lru_cache(maxsize=4096)  # a list has many wires of few sizes
def quantity_in(text: str, dimensions: tuple[str, ...], unit: str, comma: bool) -> tuple[str, str]:
    """A quantity as the long form has it, and its dimension.

    ``unit`` is that of the column, for a number without one; ``comma`` says whether a comma stands
    before the decimals of the table. Raises :class:`CellError`.
    """
    told = text
    if comma:
        if "." in text:
            raise CellError(
                f"{shown(text)} has a point in a table of `decimal: comma`; write the number without it"
            )
        text = _WITH_COMMA.sub(r"\1.\2", text)
    elif _COMMA.search(text):
        meant = with_point(text)
        as_written = f"write `{meant}`, with a point, or" if meant else "leave it out, or"
        raise CellError(
            f"{shown(text)} has a comma in the number; {as_written} {COMMA} where all its "
            "decimals are written so"
        )
    text = text.replace("\xa0", " ").replace("–", "-")
    if match := _AWG_FIRST.fullmatch(text):
        text = f"{match[1]} AWG"
    elif match := _SPELT_OUT.fullmatch(text):
        text = f"{match[1]} {_unit_meant(match[2])}"
    elif _PLAIN.fullmatch(text):
        if not unit:
            raise CellError(_without_unit(told, dimensions))
        text = f"{text} {unit}"
    return _measured(
        re.sub(r"(?<=[0-9])\s*-\s*(?=[0-9.])", " to ", text) if not text.startswith("-") else text,
        told,
        dimensions,
    )


def _measured(text: str, told: str, dimensions: tuple[str, ...]) -> tuple[str, str]:
    fitting = _fitting(dimensions)
    try:
        tokens = tokens_of(text)
        found = measure(tokens, 0, fitting) if tokens else None
        whole = found is not None and found.after == len(tokens)
    except PathError as error:
        raise CellError(error.message) from None
    dimension = next((d for d in dimensions if found and whole and found.unit in _units(d)), "")
    if found is None or not dimension:
        example = choices(f"{_EXAMPLE.get(u, '5')} {u}" for u in fitting)
        raise CellError(
            f"{shown(told)} is not {with_article(_called(dimensions))}; write for example {example}"
        )
    return found.text, dimension


def _units(dimension: str) -> tuple[str, ...]:
    if dimension == "temperature":
        return ("C", "F")
    return tuple(u for u, d in DIMENSIONS.items() if d == dimension)


def _unit_meant(word: str) -> str:
    if word in DIMENSIONS:
        return word
    return "AWG" if word.upper() == "AWG" else SPELT.get(word.lower(), word)


def _without_unit(text: str, dimensions: tuple[str, ...]) -> str:
    units = _fitting(dimensions)
    return (
        f"{shown(text)} {NO_UNIT}; write it in the cell (`{text} {units[0]}`), at the end of the head "
        f"(`({units[0]})`), or under `units` of the table"
    )


def _fitting(dimensions: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(u for d in dimensions for u in _IN_DIMENSION.get(d) or _units(d)[:1]) or ("A",)


def _called(dimensions: tuple[str, ...]) -> str:
    return " or ".join(_CALLED.get(d, d) for d in dimensions)
