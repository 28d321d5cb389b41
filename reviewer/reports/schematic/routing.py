"""Orthogonal routing on the grid: the channels, lanes and tracks of each run.

Channel r lies above row r. A run goes level in channels only and up or down in lanes only: beside a
column, or along the middle line of an empty cell. Runs that leave by one port share their track; no
other two lie on each other.
"""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterable
from dataclasses import dataclass, field

from reviewer.reports.schematic.sheet import BOTTOM, DrawnRun, DrawnSymbol, Port, Sheet

#: a lane: (column, 0) is the gutter left of a column, (column, 1) the line of its ports, more to the right
Lane = tuple[int, int]
#: what a way costs for each row that it passes, where a column costs 1
_EACH_ROW = 0.4


@dataclass(eq=False)
class Net:
    """What shares a track in one channel:

    ``up`` and ``down`` are the lanes in which it is met from the row above and from the row below.
    """

    channel: int
    up: set[tuple[Lane, int]] = field(default_factory=set)
    down: set[tuple[Lane, int]] = field(default_factory=set)
    track: int = -1
    #: pins whose line would lie on another's and is bent aside
    aside: set[tuple[Lane, int]] = field(default_factory=set)

    @property
    def pins(self) -> set[tuple[Lane, int]]:
        """All lanes in which it is met, each with its place among those that share the lane."""
        return self.up | self.down


@dataclass
class RoutedRun:
    """One run:

    ``legs`` are (lane, first channel, last channel) up or down between two channels; ``nets`` its
    part in each channel, in order.
    """

    run: DrawnRun
    legs: list[tuple[Lane, int, int]]
    nets: list[Net]


@dataclass
class Routed:
    """All routed runs.

    With the number of tracks of each channel and of places in each gutter, and the place of each
    leg in its gutter.
    """

    paths: list[RoutedRun]
    tracks: list[int]
    gutters: list[int]
    places: dict[tuple[int, int], int]


def lane_of(symbol: DrawnSymbol, port: Port) -> Lane:
    """The lane of a port."""
    return symbol.column + port.column, 1 + port.shift


def route(sheet: Sheet) -> Routed:
    """Routes every run of a sheet."""
    return _Router(sheet).routed()


class _Router:
    def __init__(self, sheet: Sheet):
        self.sheet = sheet
        self.filled: dict[tuple[int, int], DrawnSymbol] = {}
        self.crossed: set[tuple[int, int]] = set()  # (row, gutter) that lies inside a wide symbol
        for symbol in sheet.symbols:
            for column in range(symbol.column, symbol.column + symbol.width):
                self.filled[symbol.row, column] = symbol
                if column > symbol.column:
                    self.crossed.add((symbol.row, column))
        self.taken: set[tuple[int, int]] = set()
        #: by gutter, for each channel the rows above it in which the gutter lies inside a wide symbol
        self.barred = [
            list(itertools.accumulate(((row, g) in self.crossed for row in range(sheet.rows)), initial=0))
            for g in range(sheet.columns + 1)
        ]

    def routed(self) -> Routed:
        found = [(run, *self._legs(run)) for run in self.sheet.runs]
        places, gutters = self._gutter_places(found)
        paths, nets = self._nets(found, places)
        by_channel: list[list[Net]] = [[] for _ in range(self.sheet.rows + 1)]
        for net in nets:
            by_channel[net.channel].append(net)
        tracks = list(map(assign_tracks, by_channel))
        return Routed(paths, tracks, gutters, places)

    def _legs(self, run: DrawnRun) -> tuple[int, Lane, list[tuple[Lane, int, int]], int, Lane]:
        """The first channel and lane, the legs, the last channel and lane."""
        begin, end = _channel(run.one, run.port), _channel(run.other, run.other_port)
        first, last = lane_of(run.one, run.port), lane_of(run.other, run.other_port)
        if begin == end:
            return begin, first, [], end, last
        for lane in dict.fromkeys((last, first)):
            rows = range(min(begin, end), max(begin, end))
            if lane[1] == 1 and all(
                (row, lane[0]) not in self.filled and (row, lane[0]) not in self.taken for row in rows
            ):
                self.taken.update((row, lane[0]) for row in rows)
                return begin, first, [(lane, begin, end)], end, last
        return begin, first, self._search(begin, _at(first), end, _at(last)), end, last

    def _search(self, begin: int, start: float, end: int, goal: float) -> list[tuple[Lane, int, int]]:
        """The cheapest way from one channel to another: short, and with few bends.

        What cannot be part of a way as cheap as the straight one is left out.
        """
        columns, rows, crossed = self.sheet.columns, self.sheet.rows, self.crossed
        straight = (
            2 + abs(g - start) + _EACH_ROW * abs(end - begin) + abs(g - goal)
            for g, barred in enumerate(self.barred)
            if barred[begin] == barred[end]
        )
        most = min(straight, default=1e9) + 1e-6
        best: dict[tuple[int, int], float] = {(begin, -1): 0.0}
        came: dict[tuple[int, int], tuple[int, int]] = {}
        todo = [(0.0, begin, -1)]
        while todo:
            cost, channel, gutter = heapq.heappop(todo)
            if cost > best[channel, gutter]:
                continue
            if (channel, gutter) == (end, -2):
                break
            steps: list[tuple[float, int, int]] = []
            if gutter == -1:
                steps = [(cost + 2 + abs(g - start), channel, g) for g in range(columns + 1)]
            else:
                for other, row in ((channel - 1, channel - 1), (channel + 1, channel)):
                    if 0 <= row < rows and (row, gutter) not in crossed:
                        steps.append((cost + _EACH_ROW, other, gutter))
                if channel == end:
                    steps.append((cost + abs(gutter - goal), end, -2))
                steps += [
                    (cost + 3.0 + abs(g - gutter), channel, g)
                    for g in (gutter - 1, gutter + 1)
                    if 0 <= g <= columns
                ]
            for price, to, g in steps:
                left = 0.0 if g == -2 else _EACH_ROW * abs(to - end) + abs(g - goal)
                if price + left <= most and price < best.get((to, g), 1e9):
                    best[to, g] = price
                    came[to, g] = (channel, gutter)
                    heapq.heappush(todo, (price, to, g))
        way = [(end, -2)]
        while way[-1] in came:
            way.append(came[way[-1]])
        return _legs_of(way[::-1])

    def _gutter_places(self, found: list) -> tuple[dict[tuple[int, int], int], list[int]]:
        """Gives each leg in a gutter a place of its own where another is beside it."""
        by_gutter: dict[int, list[tuple[int, int, int, int]]] = {}
        for r, (_, _, _, legs, _, _) in enumerate(found):
            for i, (lane, a, b) in enumerate(legs):
                if lane[1] == 0:
                    by_gutter.setdefault(lane[0], []).append((min(a, b), max(a, b), r, i))
        places: dict[tuple[int, int], int] = {}
        gutters = [0] * (self.sheet.columns + 1)
        for gutter, spans in by_gutter.items():
            ends: list[int] = []
            for a, b, r, i in sorted(spans):
                place = next((p for p, end in enumerate(ends) if end < a), len(ends))
                ends[place : place + 1] = [b]
                places[r, i] = place
            gutters[gutter] = len(ends)
        return places, gutters

    def _nets(self, found: list, places: dict[tuple[int, int], int]) -> tuple[list[RoutedRun], list[Net]]:
        shared: dict[tuple[int, int, Lane, str], Net] = {}
        nets: list[Net] = []

        def net_at(channel: int, symbol: DrawnSymbol | None = None, port: Port | None = None) -> Net:
            key = (
                None
                if symbol is None or port is None
                else (channel, symbol.number, lane_of(symbol, port), port.side)
            )
            if key is not None and key in shared:
                return shared[key]
            nets.append(Net(channel))
            if key is not None:
                shared[key] = nets[-1]
            return nets[-1]

        paths = []
        for r, (run, begin, first, legs, _end, last) in enumerate(found):
            way = [net_at(begin, run.one, run.port)]
            _meet(way[0], (first, 0), run.port.side == BOTTOM)
            for i, (lane, a, b) in enumerate(legs):
                pin = (lane, places.get((r, i), 0))
                _meet(way[-1], pin, b < a)
                way.append(net_at(b, run.other, run.other_port) if i == len(legs) - 1 else net_at(b))
                _meet(way[-1], pin, b > a)
            _meet(way[-1], (last, 0), run.other_port.side == BOTTOM)
            paths.append(RoutedRun(run, legs, way))
        return paths, nets


def _meet(net: Net, pin: tuple[Lane, int], from_above: bool) -> None:
    (net.up if from_above else net.down).add(pin)


def _at(lane: Lane) -> float:
    """Where a lane is, in columns from the left."""
    return lane[0] + 0.2 + 0.15 * (lane[1] - 1)


def _channel(symbol: DrawnSymbol, port: Port) -> int:
    return symbol.row + 1 if port.side == BOTTOM else symbol.row


def _legs_of(way: list[tuple[int, int]]) -> list[tuple[Lane, int, int]]:
    legs: list[tuple[Lane, int, int]] = []
    for (channel, gutter), (to, onward) in itertools.pairwise(way):
        if gutter == onward and channel != to:
            if legs and legs[-1][0] == (gutter, 0):  # it goes on from the channel where it ended
                legs[-1] = ((gutter, 0), legs[-1][1], to)
            else:
                legs.append(((gutter, 0), channel, to))
    return legs


def assign_tracks(nets: Iterable[Net]) -> int:
    """Assigns the nets of a channel their tracks, and returns the number of tracks.

    A net that is met from above lies over one that is met from below in the same lane.
    """
    level = [n for n in nets if len(n.pins) > 1]
    over: dict[Net, set[Net]] = {n: set() for n in level}
    for one in level:
        for other in level:
            if one is not other and one.up & other.down:
                over[other].add(one)
    todo = sorted(level, key=lambda n: (min(n.pins), max(n.pins)))
    track = 0
    while todo:
        end: tuple[Lane, int] = ((-1, 0), 0)
        placed: list[Net] = []
        for net in todo:
            if min(net.pins) > end and not over[net] & set(todo):
                net.track, end = track, max(net.pins)
                placed.append(net)
        if not placed:  # each waits for another: the first gives way with a bend beside its lane
            net = todo[0]
            net.aside = {pin for other in over[net] & set(todo) for pin in net.down & other.up}
            net.track = track
            placed = [net]
        todo = [n for n in todo if n not in placed]
        track += 1
    return track
