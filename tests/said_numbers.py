"""What is wrong with the numbers of a sentence: digits that nobody measures, a minus zero, a unit that the file does not use."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from itertools import pairwise

#: units that a formatter writes after a number; `in` is a unit only where no word follows
UNITS = (
    r"A2s|Ah|mAh|A|mA|V|mV|kohm|ohm|mohm|milliohm|W|C|min|ms|s|h|hours|days|mm2|mm|cm|m|ft|in(?=$|[,.;:)])|%"
)
NUMBER = re.compile(rf"(?<![\w./-])(?<!\d )([+-]?\d[\d,]*(?:\.\d+)?(?:[eE][+-]?\d+)?) ?({UNITS})(?![\w-])")
#: more feet than this are an altitude, which is in feet everywhere
ALTITUDE_FT = 1000
METRIC, IMPERIAL = frozenset({"m", "cm", "mm"}), frozenset({"ft", "in"})


def offences(text: str, foreign: Collection[str] = (), stated: Collection[str] = ()) -> Iterator[str]:
    """Each number with its unit that is wrong, and why; ``stated`` are quantities that stand in the file or its tables as they are."""
    for match in NUMBER.finditer(text):
        number, unit = match[1].replace(",", ""), match[2]
        said = f"{number} {unit}"
        if said in stated:
            continue
        digits = number.lstrip("+-").partition("e")[0].replace(".", "").lstrip("0")
        if "e" in number.lower():
            yield f"{match[0]}: an exponent"
        if len(digits if "." in number else digits.rstrip("0")) > 4:
            yield f"{match[0]}: more than four digits"
        if number.startswith("-") and float(number) == 0:
            yield f"{match[0]}: minus zero"
        if unit in ("days", "hours") and number.endswith(".0"):
            yield f"{match[0]}: tenths of {unit}"
        both = text[max(0, match.start() - 4) : match.start()] in (
            "in (",
            "ft (",
        )  # a rule gives a length in both
        if unit in foreign and float(number) < ALTITUDE_FT and not both:
            yield f"{match[0]}: a unit that the file does not use"


def foreign_units(text: str) -> frozenset[str]:
    """The units of length that a design's own text does not use, where it uses some."""
    used = {m[2] for m in re.finditer(r"length: *(['\"]?)[\d.]+ ?(mm|cm|m|ft|in)\b", text)}
    if not used or (used & METRIC and used & IMPERIAL):
        return frozenset()
    return IMPERIAL if used & METRIC else METRIC


def contradictions(numbers: Collection[tuple[str, str]]) -> list[str]:
    """The limits of a finding that read the same as the number before them."""
    listed = [(str(what), str(value)) for what, value in numbers]
    found = []
    for (what, value), (limit, most) in pairwise(listed):
        one, two = NUMBER.match(value), NUMBER.match(most)
        if limit == "limit" and one and two and one[0] == two[0]:
            found.append(f"{what} {value}, limit {most}")
    return found
