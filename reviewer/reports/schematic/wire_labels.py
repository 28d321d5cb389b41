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
#: room of a number that stands upright between two others, px
_UPRIGHT = 40.0


@dataclass(frozen=True)
class _Label:
    """Names beside the end of a line at ``x``: ``away`` px from it, to the left or to the right; ``drawn`` is
    the shield before the words of its ground."""

    x: float
    y: float
    away: float
    names: tuple[str, ...]
    left: bool = False
    drawn: str = ""

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
    for one in labels:
        yield _beside(on, one, lines, facing)
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
        begin = on.edge(run.one, run.port.side) + (-3 if run.port.side == TOP else 10)
        labels.append(_shield(run, on.port_x(run.one, run.port), begin))
    alike = [run] if shielded else [r for r in met[x, y] if r is run or r.shield is None]
    if alike[0] is not run:
        return
    y += -3 if above else 10
    if symbol.bar and above:
        y = on.tops[symbol.row] - 5
    names = tuple(bare(one.element) for one in alike)
    if shielded:
        labels.append(_shield(run, x, y))
        labels.append(_Label(x, y, _SHIELD, names, left=True))
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


def _beside(on: Artist, one: _Label, lines: LineMap, facing: dict[tuple[float, int, bool], _Label]) -> str:
    """A label in the room to the next line, which it shares with the label that stands there on this side
    of it."""
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
    x, long = one.x + (-one.away if one.left else one.away), length(words, LETTER)
    left = x - long if one.left else x
    lines.put((left, top, left + long, bottom))
    kind = "wn left" if one.left else "wn"
    return f'{one.drawn}<text class="{kind}" x="{x:g}" y="{one.y:g}">{safe(words)}</text>'


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
