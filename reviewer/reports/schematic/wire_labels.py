"""The numbers of wires: at the end of each run, and along the way of a long one, where no line crosses
them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, pairwise
from typing import TYPE_CHECKING

from reviewer.network.graph import bare
from reviewer.reports.schematic import shapes
from reviewer.reports.schematic.lettering import clipped, length, safe
from reviewer.reports.schematic.routing import RoutedRun
from reviewer.reports.schematic.sheet import TOP, DrawnRun, DrawnSymbol, Port

if TYPE_CHECKING:
    from reviewer.reports.schematic.draw import Artist

#: a run that goes on for so many rows or columns is numbered along its way too
LONG_WAY = 3
#: letters of a wire's number, at most; of the ground of its shield, where there is no room for more
_MOST, _LEAST_GROUND = 10, 12
#: size and usual width of a letter of a number, and room for the number left of a line, px
_LETTER, _LETTER_WIDE, _NEXT = 10.5, 5.7, 24
#: rows or columns from one number on a long run to the next
_EVERY = 4
#: px between two numbers along lines that stand beside each other
_APART = 12
#: letters that stand along a run in one row or column
_ALONG = 7


def wire_labels(on: Artist) -> Iterator[str]:
    """The numbers and the shields of all wires."""
    users: dict[int, set[str]] = {}
    taken: dict[int, list[float]] = {}
    beside: dict[int, list[float]] = {}
    met: dict[tuple[float, float], list[DrawnRun]] = {}  # those that end at one terminal
    for path in on.routed.paths:
        if path.run.element.startswith("wires/"):
            met.setdefault(_end(on, path.run), []).append(path.run)
    for path in on.routed.paths:
        for net in path.nets:
            users.setdefault(id(net), set()).add(path.run.element)
    for number, path in enumerate(on.routed.paths):
        if path.run.element.startswith("wires/"):
            yield from _at_end(on, path.run, met)
            yield from _upright(on, path, number, taken)
            yield from _level(on, path, users, beside)


def _end(on: Artist, run: DrawnRun) -> tuple[float, float]:
    """Where a run ends, px."""
    return on.port_x(run.other, run.other_port), on.edge(run.other, run.other_port.side)


def _at_end(on: Artist, run: DrawnRun, met: dict[tuple[float, float], list[DrawnRun]]) -> Iterator[str]:
    """The number beside the end of a run, left of the first of two ports, else right of it; several that
    end at one terminal have their numbers side by side. A shield stands there, or where lines beside it
    leave it no room, at the beginning of the run."""
    symbol, port = run.other, run.other_port
    (x, y), above = _end(on, run), port.side == TOP
    shifts = _shifts(on, symbol, port)
    shielded = run.shield is not None and port.shift == max(shifts)
    if run.shield is not None and not shielded:
        begin = on.edge(run.one, run.port.side)
        yield from _shield(
            on, run, on.port_x(run.one, run.port), begin + (-3 if run.port.side == TOP else 10)
        )
    alike = [run] if shielded else [r for r in met[x, y] if r is run or r.shield is None]
    if alike[0] is not run:
        return
    y += -3 if above else 10
    if symbol.bar and above:
        y = on.tops[symbol.row] - 5
    name = ", ".join(clipped(bare(one.element), _MOST) for one in alike)
    if shielded:
        yield from _shield(on, run, x, y)
        yield f'<text class="wn left" x="{x - 7:g}" y="{y:g}">{safe(name)}</text>'
    elif port.shift not in (min(shifts), max(shifts)):
        # between the last track of the channel and a bar, which is lower than the top of another symbol
        low = _end(on, run)[1] - 2 - length(name, _LETTER) / 2 if symbol.bar and above else y - 4
        yield _along(x, low if above else y, name, True)
    elif len(shifts) > 1 and port.shift == min(shifts):
        yield f'<text class="wn left" x="{x - 3:g}" y="{y:g}">{safe(name)}</text>'
    else:
        yield f'<text class="wn" x="{x + 3:g}" y="{y:g}">{safe(name)}</text>'


def _shield(on: Artist, run: DrawnRun, x: float, y: float) -> Iterator[str]:
    """A shield on both sides of a line, with the ground that it is taken to."""
    sides = f"M{x - 3.5:g} {y - 10:g}V{y + 1:g}M{x + 3.5:g} {y - 10:g}V{y + 1:g}"
    yield f'<path class="shield" d="{sides}"><title>shield of {safe(bare(run.element))}</title></path>'
    ground = f"M{x + 3.5:g} {y - 7:g}h7v4m-4 0h8m-6.5 2h5m-3.5 2h2" if run.shield != "open" else ""
    yield f'<path class="shield to" d="{ground}"/>'
    words, begin = run.shield or "", x + 17
    ports = {left + on.line_x for left in on.left}  # left of which a number may stand
    beside = (
        x1 - (_NEXT if x1 in ports else 4)
        for points in on.points
        for (x1, y1), (x2, y2) in pairwise(points)
        if x1 == x2 and x1 > x and min(y1, y2) < y and max(y1, y2) > y - 10
    )
    room = min(beside, default=on.width) - begin
    most = len(words) if length(words, _LETTER) <= room else max(_LEAST_GROUND, int(room / _LETTER_WIDE))
    yield f'<text class="wn" x="{begin:g}" y="{y:g}">{safe(clipped(words, most))}</text>'


def _shifts(on: Artist, symbol: DrawnSymbol, port: Port) -> list[int]:
    """The places of all lines that meet a symbol in the column and on the side of a port."""
    ports = on.entered.get(symbol, []) if symbol.bar else list(symbol.ports.values())
    return [p.shift for p in ports if (p.side, p.column) == (port.side, port.column)] or [port.shift]


def _along(x: float, y: float, name: str, upright: bool) -> str:
    """A number in the line of its run."""
    if upright:
        place = f'transform="translate({x + 3.6:g} {y:g}) rotate(-90)"'
    else:
        place = f'x="{x:g}" y="{y + 3.6:g}"'
    return f'<text class="wn along" {place}>{safe(clipped(name, _ALONG))}</text>'


def _upright(on: Artist, path: RoutedRun, number: int, taken: dict[int, list[float]]) -> Iterator[str]:
    """The number along each leg that goes on for rows; ``taken`` are the places of others, by row."""
    for i, (lane, first, last) in enumerate(path.legs):
        rows = range(min(first, last), max(first, last))
        if len(rows) >= LONG_WAY:
            place = on.routed.places.get((number, i), 0)
            inner = rows[1 : -1 if len(rows) > LONG_WAY else None]
            # lines side by side are numbered in rows of their own
            x = on.x((lane, place))
            free = [row for row in inner if not any(abs(x - other) < _APART for other in taken.get(row, ()))]
            rows_of_its_own = [row for row in free if row % _EVERY == place * 2 % _EVERY]
            for row in rows_of_its_own or free[:1] or inner[:1]:
                taken.setdefault(row, []).append(x)
                yield _along(x, on.tops[row] + shapes.HEIGHT / 2, bare(path.run.element), True)


def _level(
    on: Artist, path: RoutedRun, users: dict[int, set[str]], taken: dict[int, list[float]]
) -> Iterator[str]:
    """The number along each track of its own that goes on for columns; ``taken`` are the heights of
    others, by column."""
    for net in path.nets:
        if net.track < 0 or len(users[id(net)]) > 1:
            continue
        columns = [lane[0] for lane, _ in net.pins]
        span = range(min(columns), max(columns))
        if len(span) >= LONG_WAY:
            y = on.track_y(net)
            free = [c for c in span[1:] if not any(abs(y - other) < _APART for other in taken.get(c, ()))]
            for column in islice(free or span[1:], 0, None, _EVERY):
                taken.setdefault(column, []).append(y)
                yield _along(
                    on.left[column] + on.line_x + on.room[column] - 20, y, bare(path.run.element), False
                )
