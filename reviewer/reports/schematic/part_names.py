"""The names of parts: each on one line wherever its row has room, else broken at hyphens."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.reports.schematic import shapes
from reviewer.reports.schematic.lettering import broken, clipped, length, safe
from reviewer.reports.schematic.sheet import BOTTOM, REFERENCES, TOP, DrawnSymbol
from reviewer.reports.schematic.symbols import SOURCES
from reviewer.reports.wording import shown

if TYPE_CHECKING:
    from reviewer.reports.schematic.draw import Artist

#: width of a letter, on the safe side, px
_LETTER = 5.7
#: letters of the name of a source and its rating, at least: between its poles there may be room for more
_SOURCE_NAME = 20
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
    x = 15.0
    top, bottom = (sum(p.side == side for p in symbol.ports.values()) for side in (TOP, BOTTOM))
    if symbol.kind not in REFERENCES:
        x += shapes.STEP * max(0, max(top, bottom) - 1)
    lines = _name_lines(on, symbol, _free_right(on, symbol) - x)
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


def _bar_words(on: Artist, symbol: DrawnSymbol) -> str:
    """The name of a bar above it, where no line comes down to the bar."""
    more = f"{symbol.note}" + (", goes on" if symbol.continues is not None else "")
    text = symbol.name + (f" ({more.lstrip(', ')})" if more else "")
    origin = on.left[symbol.column] + on.line_x
    end = on.left[symbol.column + symbol.width - 1] - on.left[symbol.column] + on.room
    edges = sorted({0.0, *(x - origin for x in on.entered_at(symbol)), end})
    gaps = [(a + 4, b - a - 6) for a, b in pairwise(edges)]
    whole = next(((x, [text]) for x, room in gaps if len(text) * _LETTER <= room), None)
    if whole is None:
        x, room = max(gaps, key=lambda gap: gap[1])
        whole = x, broken(text, max(6, int(room / _LETTER)), 3)
    x, lines = whole
    low = shapes.HEIGHT / 2 - 5
    spans = "".join(
        f'<tspan x="{x:g}" y="{low - 11 * (len(lines) - 1 - i):g}">{safe(line)}</tspan>'
        for i, line in enumerate(lines)
    )
    return f'<text class="n">{spans}</text><text class="src" x="-13" y="{shapes.HEIGHT / 2 + 4:g}"></text>'


def _name_lines(on: Artist, symbol: DrawnSymbol, room: float) -> list[str]:
    """The name of a part on as few lines as some room, px, allows; three at most, of a reference four."""
    most = 4 if symbol.kind in REFERENCES else 3
    wide = broken(symbol.name, max(_PER_LINE, int(room / _LETTER)), most)
    for lines in ([shown(symbol.name)], wide):
        if all(length(line) <= room for line in lines):
            return lines
    return broken(symbol.name, _PER_LINE, most)


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
        found[symbol.row].append(on.left[symbol.column])
    return [sorted(row) for row in found]


def _free_right(on: Artist, symbol: DrawnSymbol) -> float:
    """How far right of the line of a symbol its row is free, px."""
    origin = on.left[symbol.column] + on.line_x
    row, last = on.taken[symbol.row], on.width - 8
    # the lines of the symbol itself stand within the places of its ports
    beyond = bisect_right(row, origin + shapes.STEP * 2 - 7)
    return (row[beyond] if beyond < len(row) else last) - 3 - origin
