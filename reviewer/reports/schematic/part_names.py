"""The names of parts: each on one line, or on lines that end after a dot or a space.

A column is as wide as these need. Only where the paper has no room a name is broken after hyphens."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.reports.schematic import shapes
from reviewer.reports.schematic.lettering import broken, clipped, length, safe, unhyphened
from reviewer.reports.schematic.sheet import BOTTOM, REFERENCES, TOP, DrawnSymbol
from reviewer.reports.schematic.symbols import SOURCES
from reviewer.reports.wording import shown

if TYPE_CHECKING:
    from reviewer.reports.schematic.draw import Artist

#: width of a letter, on the safe side, px
_LETTER = 5.7
#: letters of the name of a source and its rating, at least: between its poles there may be room for more
_SOURCE_NAME = 20
#: symbols beside which nothing is ever lettered but the cross of a failure, and their reach to the left, px
_UNLETTERED = {*REFERENCES, "pin", "diode", "resistor", "capacitor", "shunt", "sensor", "switch"}
_MARKED = 27.0
#: letters on a line for which each part has room
_PER_LINE = 13


def part_words(on: Artist, symbol: DrawnSymbol) -> str:
    """The name of a part, its rating, and the place for the letters of what feeds it."""
    if symbol.bar:
        return _bar_words(on, symbol)
    if symbol.kind in SOURCES:
        between = on.left[symbol.column + symbol.width - 1] - on.left[symbol.column]  # its poles
        room = max(_SOURCE_NAME, int((between - 14) / _LETTER)) - len(symbol.note)
        words = f"{clipped(symbol.name, room)} {symbol.note}".rstrip()
        return (
            f'<text class="n" x="7" y="{shapes.HEIGHT - 3}">{safe(words)}</text><text class="src" x="-6"'
            f' y="{shapes.HEIGHT / 2 + 4:g}"></text>'
        )
    x = _begin(symbol)
    lines = _name_lines(symbol, _free_right(on, symbol) - x)
    y = 13.0
    if symbol.kind not in REFERENCES:
        y = shapes.HEIGHT / 2 + 4 - (len(lines) - 1 + bool(symbol.note)) * 5.5
    # the last line ends within the row, as a sheet may end below it
    y = min(y, shapes.HEIGHT - 3 - 11 * (len(lines) - 1 + bool(symbol.note)))
    spans = "".join(
        f'<tspan x="{x:g}" y="{y + 11 * i:g}">{safe(line)}</tspan>' for i, line in enumerate(lines)
    )
    if symbol.note:
        spans += f'<tspan class="note" x="{x:g}" y="{y + 11 * len(lines):g}">{safe(symbol.note)}</tspan>'
    return f'<text class="n">{spans}</text><text class="src" x="-13" y="{shapes.HEIGHT / 2 + 4:g}"></text>'


def _begin(symbol: DrawnSymbol) -> float:
    """How far right of the line of a symbol its name begins, px."""
    if symbol.kind in REFERENCES:
        return 15.0
    ports = (sum(p.side == side for p in symbol.ports.values()) for side in (TOP, BOTTOM))
    return 15.0 + shapes.STEP * max(0, max(ports) - 1)


def more_room(on: Artist) -> Iterator[tuple[float, int]]:
    """(px, column): how much wider a column had to be for a name in it to be whole."""
    for symbol in on.sheet.symbols:
        if symbol.bar or symbol.kind in SOURCES:
            continue
        room = _free_right(on, symbol) - _begin(symbol)
        if unhyphened(symbol.name, room, _most(symbol)):
            continue
        longest = max(map(length, re.split(r"(?<=[.\s])", shown(symbol.name))))
        yield longest - room + 0.5, symbol.column


def _bar_words(on: Artist, symbol: DrawnSymbol) -> str:
    """The name of a bar above it, where no line comes down to the bar."""
    more = f"{symbol.note}" + (", goes on" if symbol.continues is not None else "")
    text = symbol.name + (f" ({more.lstrip(', ')})" if more else "")
    origin = on.left[symbol.column] + on.line_x
    last = symbol.column + symbol.width - 1
    end = on.left[last] - on.left[symbol.column] + max(on.room[last], _free_beyond(on, symbol, last))
    edges = sorted({0.0, *(x - origin for x in on.entered_at(symbol)), end})
    gaps = [(a + 4, b - a - 6) for a, b in pairwise(edges)]
    whole = next(((x, [text]) for x, room in gaps if length(text) <= room), None)
    if whole is None:
        x, room = max(gaps, key=lambda gap: gap[1])
        whole = x, unhyphened(text, room) or broken(text, max(6, int(room / _LETTER)), 3)
    x, lines = whole
    low = shapes.HEIGHT / 2 - 5
    spans = "".join(
        f'<tspan x="{x:g}" y="{low - 11 * (len(lines) - 1 - i):g}">{safe(line)}</tspan>'
        for i, line in enumerate(lines)
    )
    return f'<text class="n">{spans}</text><text class="src" x="-13" y="{shapes.HEIGHT / 2 + 4:g}"></text>'


def _most(symbol: DrawnSymbol) -> int:
    """Lines of a name, at most."""
    return 4 if symbol.kind in REFERENCES else 3


def _name_lines(symbol: DrawnSymbol, room: float) -> list[str]:
    """The name of a part on as few lines as some room, px, allows."""
    most = _most(symbol)
    if lines := unhyphened(symbol.name, room, most):
        return lines
    wide = broken(symbol.name, max(_PER_LINE, int(room / _LETTER)), most)
    return wide if all(length(line) <= room for line in wide) else broken(symbol.name, _PER_LINE, most)


def taken(on: Artist) -> list[list[float]]:
    """By row: the x at which a line goes upright through it, and where the cell of a symbol begins."""
    found: list[list[float]] = [[] for _ in on.tops]
    for points in on.points:
        for (x1, y1), (x2, y2) in pairwise(points):
            if x1 == x2:
                low, high = min(y1, y2), max(y1, y2)
                for row in range(bisect_left(on.tops, low - shapes.HEIGHT), bisect_left(on.tops, high)):
                    found[row].append(x1 - 7)
    for symbol in on.sheet.symbols:
        found[symbol.row].append(on.left[symbol.column] + on.line_x - _reach(on, symbol))
    return [sorted(row) for row in found]


def _reach(on: Artist, symbol: DrawnSymbol) -> float:
    """How far left of its line a symbol reaches, px: where letters of sources may stand, the whole cell."""
    return on.line_x if symbol.bar or symbol.kind not in _UNLETTERED else _MARKED


def _free_right(on: Artist, symbol: DrawnSymbol) -> float:
    """How far right of the line of a symbol its row is free, px."""
    return _free_beyond(on, symbol, symbol.column) - on.line_x


def _free_beyond(on: Artist, symbol: DrawnSymbol, column: int) -> float:
    """How far right of a column the row of a symbol is free, px from where the column begins."""
    row, last = on.taken[symbol.row], on.width - 8
    # the lines of the symbol itself stand within the places of its ports
    beyond = bisect_right(row, on.left[column] + on.line_x + shapes.STEP * 2 - 7)
    return (row[beyond] if beyond < len(row) else last) - 3 - on.left[column]
