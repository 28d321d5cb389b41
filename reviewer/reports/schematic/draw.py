"""A sheet as SVG: a group for each symbol and a path for each run, with identifiers.

No style of its own beyond classes.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

from reviewer.network.graph import bare
from reviewer.reports.schematic import shapes
from reviewer.reports.schematic.lettering import ShortNames, safe
from reviewer.reports.schematic.part_names import more_room, part_words, taken
from reviewer.reports.schematic.routing import Lane, Net, Routed, RoutedRun, route
from reviewer.reports.schematic.sheet import BOTTOM, TOP, DrawnRun, DrawnSymbol, Port, Sheet
from reviewer.reports.schematic.symbols import SOURCES
from reviewer.reports.schematic.wire_labels import wire_labels

GUTTER, PLACE, TRACK = 14, 9, 9
#: room in a channel above its first track and below its last, for the numbers of wires; above where it has
#: no track
HEAD, FOOT, NO_TRACK = 13, 18, 5
#: more room beside a row in which a number stands upright between two others
UPRIGHT = 26
MARGIN = 14
#: more room above a shelf
BETWEEN = 10
TITLE = 26
#: width of a letter of a source; room right of a line for the name of a part
BOLD, ROOM = 7.5, 84
#: how much more of that there may be, where the drawing is narrower than its paper
MORE_ROOM = 36
#: width of a drawing, px, whose smallest letters (10.5 px) have 6 points on a landscape page: 263 mm
#: of A4 or letter size in its frame
PRINTED_WIDE = 1270.0
TITLE_LETTER = 7.6


@dataclass(frozen=True)
class DrawnLine:
    """The points of a run, from end to end, with the number of its wire or what it joins without a wire."""

    name: str
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Drawing:
    """The SVG and its size in px.

    ``breaks`` are the y at which a printed page had best end, ``rows`` those at which it may;
    ``lines`` are the runs, and ``run_names`` their names, for the room that each has.
    """

    svg: str
    width: float
    height: float
    breaks: tuple[float, ...]
    rows: tuple[float, ...]
    lines: tuple[DrawnLine, ...]
    run_names: ShortNames = field(compare=False)

    @cached_property
    def uprights(self) -> tuple[tuple[float, float, float, DrawnLine], ...]:
        """The upright pieces of the runs, in their order: the y at which each begins and ends, its x, and the
        run."""
        return tuple(
            (min(y1, y2), max(y1, y2), x1, line)
            for line in self.lines
            for (x1, y1), (x2, y2) in pairwise(line.points)
            if x1 == x2
        )


def draw(sheet: Sheet) -> Drawing:
    """Draws a sheet. The same sheet gives the same bytes."""
    return Artist(sheet, route(sheet)).drawing()


def _line_name(run: DrawnRun) -> str:
    """``W12``; without a wire ``main-bus bar`` between the pieces of a bar, else the part that is plugged."""
    name = bare(run.element)
    between = run.one.bar and run.one.element == run.other.element and not name.endswith("bar")
    return f"{name} bar" if between else name


class ColumnPlaces:
    """The columns of a sheet, each with the least room, in px."""

    def __init__(self, sheet: Sheet, routed: Routed):
        self.sheet, self.routed = sheet, routed
        sources = sum(s.kind in SOURCES for s in sheet.symbols)
        self.line_x = 18 + BOLD * min(max(sources, 1), 5)
        self.gutters = [GUTTER + PLACE * places for places in routed.gutters]
        self.room = [float(ROOM)] * sheet.columns
        self._place_columns()

    def _place_columns(self) -> None:
        """Where each column begins, and the gutter before it."""
        begin, self.left, self.gutter_left = float(MARGIN), [], []
        for gutter, room in zip(self.gutters, [*self.room, 0.0], strict=True):
            self.gutter_left.append(begin)
            self.left.append(begin + gutter)
            begin += gutter + self.line_x + room
        self.width = self.left[-1] + MARGIN


class Artist(ColumnPlaces):
    """A sheet with the place of everything on it, in px."""

    def __init__(self, sheet: Sheet, routed: Routed):
        super().__init__(sheet, routed)
        titled = {s.row for s in sheet.sections if s.title}
        self.begins: list[float] = []  # of each channel
        self.heads: list[float] = []  # its first track
        self.lows: list[float] = []  # where its tracks end
        self.tops: list[float] = []  # of each row
        self.entered = _entries(sheet)
        y = float(MARGIN)
        shelves = set(sheet.breaks)
        above = {symbol.row for symbol in sheet.symbols if self._crowded(symbol, TOP)}
        below = {symbol.row + 1 for symbol in sheet.symbols if self._crowded(symbol, BOTTOM)}
        for row in range(sheet.rows + 1):
            y += BETWEEN if row in shelves else 0
            self.begins.append(y)
            y += HEAD if routed.tracks[row] or row in titled else NO_TRACK
            y += (TITLE if row in titled else 0) + (UPRIGHT if row in below else 0)
            self.heads.append(y)
            y += TRACK * max(0, routed.tracks[row] - 1) + FOOT
            self.lows.append(y)
            y += UPRIGHT if row in above else 0
            self.tops.append(y)
            y += shapes.HEIGHT
        self.height = self.tops[-1] + MARGIN
        self._place_lines()
        self._widen()
        self._place_columns()
        self._place_lines()

    def _crowded(self, symbol: DrawnSymbol, side: str) -> bool:
        """Whether three lines or more meet one column of a symbol on a side."""
        shifts: dict[int, set[int]] = {}
        for port in self.entered.get(symbol, []) if symbol.bar else symbol.ports.values():
            if port.side == side:
                shifts.setdefault(port.column, set()).add(port.shift)
        return any(len(one) > 2 for one in shifts.values())

    def _place_lines(self) -> None:
        """Where each run goes, and what of each row is taken."""
        self.points = [self._points(path, number) for number, path in enumerate(self.routed.paths)]
        self.taken = taken(self)

    def _widen(self) -> None:
        """Room for whole names first, those that need the least before others; what is left for all alike."""
        spare = PRINTED_WIDE - self.width
        more = [0.0] * self.sheet.columns
        for px, column in sorted(more_room(self)):
            if 0 < px - more[column] <= spare:
                spare -= px - more[column]
                more[column] = px
        alike = min(MORE_ROOM, max(0, int(spare / self.sheet.columns)))
        self.room = [room + px + alike for room, px in zip(self.room, more, strict=True)]

    @cached_property
    def broken_names(self) -> int:
        """How many names are broken at hyphens, as the paper has no room for the whole."""
        return sum(1 for _ in more_room(self))

    def drawing(self) -> Drawing:
        body = [
            *self._titles(),
            *map(self._run, range(len(self.routed.paths))),
            *self._joints(),
            *map(self._group, self.sheet.symbols),
            *wire_labels(self),
        ]
        svg, begins = "\n".join(body), tuple(self.begins)
        return Drawing(svg, self.width, self.height, self.breaks, begins, self.lines, self.run_names)

    @cached_property
    def breaks(self) -> tuple[float, ...]:
        """The y above each shelf, at which a printed page had best end."""
        return tuple(self.begins[row] - BETWEEN for row in self.sheet.breaks)

    @cached_property
    def lines(self) -> tuple[DrawnLine, ...]:
        """All runs, where they are drawn at last."""
        named = zip(self.routed.paths, self.points, strict=True)
        return tuple(DrawnLine(_line_name(path.run), tuple(points)) for path, points in named)

    @cached_property
    def run_names(self) -> ShortNames:
        """The names of all runs, for the room that each has."""
        return ShortNames(line.name for line in self.lines)

    def port_x(self, symbol: DrawnSymbol, port: Port) -> float:
        """The x of a port."""
        return self.x(((symbol.column + port.column, 1 + port.shift), 0))

    def x(self, pin: tuple[Lane, int]) -> float:
        (column, kind), place = pin
        if kind == 0:
            return self.gutter_left[column] + 7 + PLACE * place
        return self.left[column] + self.line_x + (kind - 1) * shapes.STEP

    def track_y(self, net: Net) -> float:
        """The y of the track of a net."""
        return self.heads[net.channel] + TRACK * net.track

    def _run(self, number: int) -> str:
        path = self.routed.paths[number]
        kind = (
            "r"
            + (" inner" if path.run.element.startswith("parts/") else "")
            + (" joint" if path.run.other.continues is path.run.one else "")
            + (" unit" if path.run.other.kind == "signals" and path.run.other.continues else "")
            + (" quiet" if path.run.quiet else "")
        )
        return (
            f'<path id="r{number}" class="{kind}" d="{_d(self.points[number])}">'
            f"<title>{safe(bare(path.run.element))}</title></path>"
        )

    def _points(self, path: RoutedRun, number: int) -> list[tuple[float, float]]:
        """The points of a run from port to port."""
        run = path.run
        pins = [(lane, self.routed.places.get((number, i), 0)) for i, (lane, _, _) in enumerate(path.legs)]
        first = ((run.one.column + run.port.column, 1 + run.port.shift), 0)
        last = ((run.other.column + run.other_port.column, 1 + run.other_port.shift), 0)
        points = [(self.x(first), self.edge(run.one, run.port.side))]
        ins, outs = [first, *pins], [*pins, last]
        for net, into, out in zip(path.nets, ins, outs, strict=True):
            if net.track >= 0:
                y = self.track_y(net)
                points += [*self._bend(net, into, y), *reversed(self._bend(net, out, y))]
        points.append((self.x(last), self.edge(run.other, run.other_port.side)))
        return points

    def _bend(self, net: Net, pin: tuple[Lane, int], y: float) -> list[tuple[float, float]]:
        x = self.x(pin)
        if pin in net.aside:
            low = self.lows[net.channel] - FOOT + 4
            return [(x, low), (x + 6, low), (x + 6, y)]
        return [(x, y)]

    def edge(self, symbol: DrawnSymbol, side: str) -> float:
        """The y at which a line meets a side of a symbol."""
        top = self.tops[symbol.row]
        if symbol.bar:
            return top + shapes.HEIGHT / 2
        return top + (shapes.HEIGHT if side == BOTTOM else 0)

    def _joints(self) -> Iterator[str]:
        """A dot wherever a shared track branches."""
        seen: set[int] = set()
        for path in self.routed.paths:
            for net in path.nets:
                if id(net) in seen or net.track < 0 or len(net.pins) < 3:
                    continue
                seen.add(id(net))
                for pin in sorted(net.pins)[1:-1]:
                    yield f'<circle class="dot" cx="{self.x(pin):g}" cy="{self.track_y(net):g}" r="2"/>'

    def _titles(self) -> Iterator[str]:
        """The title of each section at the head of its channel, ruled to the next one beside it."""
        titled = [section for section in self.sheet.sections if section.title]
        for section in titled:
            beyond = [s.column for s in titled if s.row == section.row and s.column > section.column]
            end = self.gutter_left[min(beyond)] - 2 * MARGIN if beyond else self.width - MARGIN
            begin, y = self.gutter_left[section.column], self.begins[section.row] + HEAD
            x = self._free(y - 6, TITLE_LETTER * len(section.title), begin)
            yield (
                f'<text class="part-title" x="{x:g}" y="{y:g}">{safe(section.title)}</text><path'
                f' class="rule" d="M{begin:g} {y + 5:g}H{end:g}"/>'
            )

    def _free(self, y: float, width: float, begin: float) -> float:
        """The leftmost x from ``begin`` on from which a text of some width crosses no line at a level."""
        upright = sorted(
            x1
            for points in self.points
            for (x1, y1), (x2, y2) in pairwise(points)
            if x1 == x2 and min(y1, y2) <= y <= max(y1, y2)
        )
        starts = [begin, *(x + 6 for x in upright if x > begin)]
        return next(s for s in starts if not any(s - 4 < x < s + width + 4 for x in upright))

    def _group(self, symbol: DrawnSymbol) -> str:
        x, y = self.left[symbol.column] + self.line_x, self.tops[symbol.row]
        shape = (
            self._bar(symbol)
            if symbol.bar
            else _symbol(symbol, self.left[symbol.column + symbol.width - 1] - self.left[symbol.column])
        )
        words = part_words(self, symbol)
        full = f"{symbol.name}, {symbol.kind.replace('-', ' ')}" + (f", {symbol.note}" if symbol.note else "")
        classes = f"f k-{symbol.kind}" + (" quiet" if symbol.quiet else "")
        return (
            f'<g id="f{symbol.number}" class="{classes}" transform="translate({x:g} {y:g})">'
            f"<title>{safe(full)}</title>{shape}{words}</g>"
        )

    def _bar(self, symbol: DrawnSymbol) -> str:
        last = symbol.column + symbol.width - 1
        length = self.left[last] - self.left[symbol.column] + self.room[last] - 4
        kind = "bar" if symbol.kind == "bus" else "bar thin"
        return f'<path class="{kind}" d="M-10 {shapes.HEIGHT / 2:g}H{length:g}"/>'

    def entered_at(self, bar: DrawnSymbol) -> list[float]:
        """The x of each line that meets a bar from above."""
        return [self.port_x(bar, port) for port in self.entered.get(bar, ())]


def _entries(sheet: Sheet) -> dict[DrawnSymbol, list[Port]]:
    """The ports of lines that come down to a bar."""
    found: dict[DrawnSymbol, list[Port]] = {}
    for run in sheet.runs:
        for symbol, port in ((run.one, run.port), (run.other, run.other_port)):
            if symbol.bar and port.side == TOP:
                found.setdefault(symbol, []).append(port)
    return found


def _symbol(symbol: DrawnSymbol, second: float) -> str:
    top, bottom = (sum(p.side == side for p in symbol.ports.values()) for side in (TOP, BOTTOM))
    if symbol.kind in SOURCES:
        return shapes.source(symbol.kind, second, top, symbol.marks)
    if symbol.gate:
        return shapes.contact(
            symbol.kind,
            max(1, len(symbol.nodes) - 1),
            symbol.ports[symbol.nodes[0]].side == TOP if len(symbol.nodes) > 2 else True,
            symbol.gate,
        )
    if symbol.kind in shapes.BLOCKS:
        return shapes.block(symbol.kind, top, bottom)
    shape = shapes.FIXED[symbol.kind]
    return f'<g transform="matrix(1 0 0 -1 0 {shapes.HEIGHT})">{shape}</g>' if symbol.flipped else shape


def _d(points: list[tuple[float, float]]) -> str:
    text, at = f"M{points[0][0]:g} {points[0][1]:g}", points[0]
    for x, y in points[1:]:
        if x != at[0] and y != at[1]:
            text += f"V{y:g}H{x:g}"
        elif x != at[0]:
            text += f"H{x:g}"
        elif y != at[1]:
            text += f"V{y:g}"
        at = (x, y)
    return text
