"""The numbers of wires at the ends of their runs, with the shields that end there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from reviewer.network.graph import bare
from reviewer.reports.schematic.lettering import clipped, length, safe
from reviewer.reports.schematic.line_map import CLEAR, HALF, LineMap
from reviewer.reports.schematic.run_labels import LETTER, along, run_labels
from reviewer.reports.schematic.sheet import TOP, DrawnRun, DrawnSymbol, Port

if TYPE_CHECKING:
    from reviewer.reports.schematic.draw import Artist

#: letters of the ground of a shield, at least, and their usual width, px
_LEAST_GROUND, _LETTER_WIDE = 12, 5.7
#: px from a line to a number right or left of it, and to the ground of a shield with what is left of it there
_BESIDE, _GROUND, _SHIELD = 3.0, 17.0, 7.0
#: px over and under the foot of a number that are left free of one that stands in the line, for a shield
_OVER, _UNDER = 14.0, 5.0
#: room of a number that stands upright between two others, px
_UPRIGHT = 40.0


@dataclass(frozen=True)
class _Label:
    """Names beside the end of a line at ``x``: ``away`` px from it, to the left or to the right; ``drawn`` is
    the shield before the words of its ground, ``begin`` the place at the other end of the line."""

    x: float
    y: float
    away: float
    names: tuple[str, ...]
    left: bool = False
    drawn: str = ""
    begin: tuple[float, float] | None = None

    @property
    def wanted(self) -> float:
        """The width of the whole names, px."""
        return length(", ".join(self.names), LETTER)


def wire_labels(on: Artist) -> Iterator[str]:
    """The numbers and the shields of all wires."""
    lines = LineMap(on.points)
    met: dict[tuple[float, float], list[DrawnRun]] = {}  # those that end at one terminal
    runs = [path.run for path in on.routed.paths if path.run.element.startswith("wires/")]
    for run in runs:
        met.setdefault(_end(on, run), []).append(run)
    labels: list[_Label] = []
    for run in runs:
        yield from _at_end(on, run, met, lines, labels)
    facing = {(round(one.x, 1), round(one.y), one.left): one for one in labels}
    wide = []
    for one in labels:
        drawn = _beside(on, one, lines, facing, False)
        wide += [] if drawn else [one]
        yield drawn
    for one in wide:
        yield _elsewhere(on, one, lines) or _beside(on, one, lines, facing)
    yield from run_labels(on, lines)


def _end(on: Artist, run: DrawnRun) -> tuple[float, float]:
    """Where a run ends, px."""
    return on.port_x(run.other, run.other_port), on.edge(run.other, run.other_port.side)


def _at_end(
    on: Artist,
    run: DrawnRun,
    met: dict[tuple[float, float], list[DrawnRun]],
    lines: LineMap,
    labels: list[_Label],
) -> Iterator[str]:
    """The number beside the end of a run, left of the first of two ports, else right of it; several that
    end at one terminal have their numbers side by side. A shield stands there, or where lines beside it
    leave it no room, at the beginning of the run."""
    symbol, port = run.other, run.other_port
    (x, y), above = _end(on, run), port.side == TOP
    shifts = _shifts(on, symbol, port)
    shielded = run.shield is not None and port.shift == max(shifts)
    if run.shield is not None and not shielded:
        edge = on.edge(run.one, run.port.side) + _at(run.port)
        labels.append(_shield(run, on.port_x(run.one, run.port), edge))
    alike = [run] if shielded else [r for r in met[x, y] if r is run or r.shield is None]
    if alike[0] is not run:
        return
    y += -3 if above else 10
    if symbol.bar and above:
        y = on.tops[symbol.row] - 5
    names = tuple(bare(one.element) for one in alike)
    if shielded:
        labels.append(_shield(run, x, y))
        begin = on.port_x(run.one, run.port), on.edge(run.one, run.port.side) + _at(run.port)
        labels.append(_Label(x, y, _SHIELD, names, left=True, begin=begin))
    elif port.shift not in (min(shifts), max(shifts)):
        words = _joined(on, names, _UPRIGHT)
        long = length(words, LETTER)
        # between the last track of the channel and a bar, which is lower than the top of another symbol
        middle = on.tops[symbol.row] + (20 if symbol.bar else 2) - long / 2 if above else y - 12 + long / 2
        lines.put((x - HALF, middle - long / 2, x + HALF, middle + long / 2))
        yield along(x, middle, words, True)
    else:
        first = len(shifts) > 1 and port.shift == min(shifts)
        labels.append(_Label(x, y, _BESIDE, names, left=first))


def _shield(run: DrawnRun, x: float, y: float) -> _Label:
    """A shield on both sides of a line, with the lead to its ground and the words for that."""
    sides = f"M{x - 3.5:g} {y - 10:g}V{y + 1:g}M{x + 3.5:g} {y - 10:g}V{y + 1:g}"
    ground = f"M{x + 3.5:g} {y - 7:g}h7v4m-4 0h8m-6.5 2h5m-3.5 2h2" if run.shield != "open" else ""
    drawn = (
        f'<path class="shield" d="{sides}"><title>shield of {safe(bare(run.element))}</title></path>'
        f'<path class="shield to" d="{ground}"/>'
    )
    return _Label(x, y, _GROUND, (run.shield or "",), drawn=drawn)


def _beside(
    on: Artist, one: _Label, lines: LineMap, facing: dict[tuple[float, int, bool], _Label], tried: bool = True
) -> str:
    """A label in the room to the next line, which it shares with the label that stands there on this side
    of it; "" for one that is too wide for it, unless all other places were ``tried``."""
    top, bottom = one.y - 9, one.y + 2
    if one.left:
        beyond = lines.left_of(one.x, top, bottom)
    else:
        beyond = lines.right_of(one.x, top, bottom, on.width)
    room = abs(beyond - one.x) - one.away - CLEAR
    other = facing.get((round(beyond, 1), round(one.y), not one.left))
    if other is not None:
        both = room - other.away
        room = max(both / 2, both - other.wanted)
    if one.drawn:
        whole = one.wanted <= room
        words = one.names[0] if whole else clipped(one.names[0], max(_LEAST_GROUND, int(room / _LETTER_WIDE)))
    else:
        words = _joined(on, one.names, room)
        if not tried and length(words, LETTER) > room:
            return ""
    x, long = one.x + (-one.away if one.left else one.away), length(words, LETTER)
    left = x - long if one.left else x
    lines.put((left, top, left + long, bottom))
    kind = "wn left" if one.left else "wn"
    return f'{one.drawn}<text class="{kind}" x="{x:g}" y="{one.y:g}">{safe(words)}</text>'


def _at(port: Port) -> float:
    """How far from the edge of a symbol the foot of a number stands, px."""
    return -3.0 if port.side == TOP else 10.0


def _elsewhere(on: Artist, one: _Label, lines: LineMap) -> str:
    """A label that has no room beside its line: in the line above or below that place, or beside the other
    end of the line; "" where letters or lines stand there."""
    words = _joined(on, one.names, 0.0)
    long = length(words, LETTER)
    for top in (one.y - _OVER - long, one.y + _UNDER):
        box = one.x - HALF, top, one.x + HALF, top + long
        if lines.upright_along(one.x, top, top + long) and lines.free(box):
            lines.put(box)
            return along(one.x, top + long / 2, words, True)
    if one.begin is None:
        return ""
    (x, y), sides = one.begin, []
    top, bottom = y - 9, y + 2
    for left in (True, False):
        beyond = lines.left_of(x, top, bottom) if left else lines.right_of(x, top, bottom, on.width)
        sides.append((abs(beyond - x) - _BESIDE - CLEAR, left))
    for room, left in sorted(sides, reverse=True):
        words = _joined(on, one.names, room)
        long = length(words, LETTER)
        at = x - _BESIDE if left else x + _BESIDE
        box = (at - long, top, at, bottom) if left else (at, top, at + long, bottom)
        if long <= room and lines.free(box):
            lines.put(box)
            return f'<text class="{"wn left" if left else "wn"}" x="{at:g}" y="{y:g}">{safe(words)}</text>'
    return ""


def _joined(on: Artist, names: tuple[str, ...], room: float) -> str:
    """Names side by side in some room, px: the same part of it for each where they are too long."""
    room -= length(", ", LETTER) * (len(names) - 1)
    whole = sum(length(name, LETTER) for name in names) <= room
    each = float("inf") if whole else room / len(names)
    return ", ".join(on.run_names.within(name, each, LETTER) for name in names)


def _shifts(on: Artist, symbol: DrawnSymbol, port: Port) -> list[int]:
    """The places of all lines that meet a symbol in the column and on the side of a port."""
    ports = on.entered.get(symbol, []) if symbol.bar else list(symbol.ports.values())
    return [p.shift for p in ports if (p.side, p.column) == (port.side, port.column)] or [port.shift]
