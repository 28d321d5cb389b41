"""The names along long runs: numbers of wires, and the part where one is plugged without a wire, in the
line of the run where no other line crosses them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.reports.schematic.lettering import length, safe
from reviewer.reports.schematic.line_map import HALF, Box, LineMap

if TYPE_CHECKING:
    from reviewer.reports.schematic.draw import Artist

#: an upright or a level piece of a run as long as this, px, has its name in it; and again after so many px
LONG, LONG_LEVEL, EVERY = 260.0, 400.0, 420.0
#: size of a letter, and what stays free at both ends of a name, px
LETTER, _END = 10.5, 3.0
#: the shortest form of a name that is worth its place, px
_LEAST = 20.0


def run_labels(on: Artist, lines: LineMap) -> Iterator[str]:
    """The names along the long pieces of all runs."""
    shared = _shared(on)
    for line in on.lines:
        for (x1, y1), (x2, y2) in pairwise(line.points):
            if x1 == x2 and abs(y2 - y1) >= LONG:
                yield from _on_upright(on, lines, line.name, x1, sorted((y1, y2)))
            elif y1 == y2 and abs(x2 - x1) >= LONG_LEVEL:
                left, right = sorted((x1, x2))
                if not any(left < end and begin < right for begin, end in shared.get(y1, ())):
                    yield from _on_level(on, lines, line.name, y1, left, right)


def _shared(on: Artist) -> dict[float, list[tuple[float, float]]]:
    """(left, right) of each track that runs of several elements share, by its height."""
    users: dict[int, set[str]] = {}
    nets = {}
    for path in on.routed.paths:
        for net in path.nets:
            users.setdefault(id(net), set()).add(path.run.element)
            nets[id(net)] = net
    found: dict[float, list[tuple[float, float]]] = {}
    for number, net in nets.items():
        if net.track >= 0 and len(users[number]) > 1:
            xs = [on.x(pin) for pin in net.pins]
            found.setdefault(on.track_y(net), []).append((min(xs), max(xs)))
    return found


def _on_upright(on: Artist, lines: LineMap, name: str, x: float, ends: list[float]) -> Iterator[str]:
    low, high = ends
    edges = (y for y in (*on.begins, *on.breaks) if low < y < high)  # where a printed sheet may end
    crossed = {*lines.crossing_upright(x, low, high), *edges, low, high}
    for middle, words in _placed(on, lines, name, sorted(crossed), x, True):
        yield along(x, middle, words, True)


def _on_level(on: Artist, lines: LineMap, name: str, y: float, left: float, right: float) -> Iterator[str]:
    crossed = {*lines.crossing_level(y, left, right), left, right}
    for middle, words in _placed(on, lines, name, sorted(crossed), y, False):
        yield along(middle, y, words, False)


def _placed(
    on: Artist, lines: LineMap, name: str, crossed: list[float], across: float, upright: bool
) -> Iterator[tuple[float, str]]:
    """(middle, words) of each name on a piece: in the first gap between two crossings that has room, then in
    others further on; shortened where no gap has room for the whole."""
    gaps = [(a + HALF, b - HALF) for a, b in pairwise(crossed) if b - a > 2 * HALF + _LEAST]
    whole = length(name, LETTER) + 2 * _END
    wide = [gap for gap in gaps if gap[1] - gap[0] >= whole]
    last = crossed[0] - EVERY
    for begin, end in wide or sorted(gaps, key=lambda gap: gap[0] - gap[1])[:3]:
        words = on.run_names.within(name, end - begin - 2 * _END, LETTER)
        long = length(words, LETTER) + 2 * _END
        steps = (begin + long / 2, (begin + end) / 2, end - long / 2)
        for middle in steps if long <= end - begin and (begin + end) / 2 - last >= EVERY else ():
            box = _box(middle, across, long, upright)
            if lines.free(box):
                lines.put(box)
                last = middle
                yield middle, words
                break
        if not wide and last > crossed[0] - EVERY:
            break


def _box(middle: float, across: float, long: float, upright: bool) -> Box:
    if upright:
        return across - HALF, middle - long / 2, across + HALF, middle + long / 2
    return middle - long / 2, across - HALF, middle + long / 2, across + HALF


def along(x: float, y: float, words: str, upright: bool) -> str:
    """Words in the line of a run."""
    if upright:
        place = f'transform="translate({x + 3.6:g} {y:g}) rotate(-90)"'
    else:
        place = f'x="{x:g}" y="{y + 3.6:g}"'
    return f'<text class="wn along" {place}>{safe(words)}</text>'
