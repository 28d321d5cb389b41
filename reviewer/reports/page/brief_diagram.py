"""The distribution of a design on one sheet: sources above, each bus below what feeds it, the loads
under their bus. Lengths are points of print, so that letters stay as large as they are set."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.questions.source_briefs import BusLoad, Distribution, Feeder
from reviewer.reports.schematic.lettering import clipped, safe

#: the sheet inside its margins, and the sizes of letters that are tried, the last one the smallest
WIDE, TALL = 780.0, 470.0
SIZES = (10.0, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.2)
_GAP, _TRACK, _BOX = 12.0, 7.0, 6.0
#: width of a letter by the size of letters, on average
_LETTER, _BOLD = 0.52, 0.57


@dataclass
class _Bar:
    """A source or bus: where it is drawn, and its loads in lines of words."""

    name: str
    words: str
    loads: list[str]
    tier: int = 0
    x: float = 0.0
    y: float = 0.0
    wide: float = 0.0
    columns: int = 1
    down: list[Feeder] = field(default_factory=list)
    up: list[Feeder] = field(default_factory=list)


def distribution_diagram(design: Design, found: Distribution) -> str:
    """The diagram as SVG of :data:`WIDE` by :data:`TALL` points at most.

    Where even the smallest letters leave no room for all loads, a bus says how many more it has.
    """
    for most in (999, 24, 16, 10, 6, 3):
        sheets = [s for size in SIZES if (s := _Sheet(design, found, size, most)).tall <= TALL]
        if sheets:
            return next((sheet for sheet in sheets if sheet.roomy), sheets[-1]).svg()
    return _Sheet(design, found, SIZES[-1], 0).svg()


def _rated(design: Design, name: str, keys: Sequence[tuple[str, str]] = (("rating", "A"),)) -> str:
    """``main-fuse, 30 A``; the name alone where the file states no figure."""
    part = design.parts.get(name)
    figures = ((getattr(part, key, None), unit) for key, unit in keys)
    return ", ".join([name, *(quantity(f, unit) for f, unit in figures if f is not None)])


class _Sheet:
    def __init__(self, design: Design, found: Distribution, size: float, most: int):
        self.design, self.found, self.size, self.most = design, found, size, most
        self.line = 1.25 * size
        self.bars = {n: _Bar(n, self._words(n), self._loads(n)) for n in (*found.sources, *found.buses)}
        self._tiers()
        self.tiers = [
            [b for b in self.bars.values() if b.tier == t]
            for t in range(1 + max((b.tier for b in self.bars.values()), default=0))
        ]
        self.far = [f for f in self.links if self.bars[f.end].tier > self.bars[f.start].tier + 1]
        self._across()
        self.spare = 0.0
        self.tall = self._down()
        if self.tall < TALL:  # what is left goes between the tiers
            self.spare = min(60.0, (TALL - self.tall) / len(self.tiers))
            self.tall = self._down()

    def _words(self, name: str) -> str:
        return _rated(self.design, name, (("rating", "A"), ("capacity", "Ah")))

    def _loads(self, name: str) -> list[str]:
        own = [self._load(one) for one in self.found.loads if one.bus == name]
        left = len(own) - self.most
        return own if left <= 0 else [*own[: self.most], f"and {left} more"]

    def _load(self, one: BusLoad) -> str:
        words = one.load if one.normal else f"({one.load})"
        return words + _rated(self.design, one.protection).removeprefix(one.protection)

    def _tiers(self) -> None:
        """Each bus below all that feed it, in the order in which they are reached from the sources."""
        order = {name: i for i, name in enumerate(self._reached())}
        both = {(f.start, f.end) for f in self.found.feeders}
        #: ways between two bars, each once, downward
        self.links: list[Feeder] = [
            f for f in self.found.feeders if order[f.start] < order[f.end] or (f.end, f.start) not in both
        ]
        for _ in self.bars:
            for link in self.links:
                if order[link.start] < order[link.end]:
                    end = self.bars[link.end]
                    end.tier = max(end.tier, self.bars[link.start].tier + 1)
        self.back = {(f.start, f.end) for f in self.found.feeders if (f.end, f.start) in both}
        self.links = [
            f
            if self.bars[f.start].tier < self.bars[f.end].tier
            else Feeder(f.end, f.start, f.devices, f.normal)
            for f in self.links
        ]

    def _reached(self) -> list[str]:
        found = dict.fromkeys(self.found.sources)
        for name in (todo := [*found]):
            for feeder in self.found.feeders:
                if feeder.start == name and feeder.end not in found:
                    found[feeder.end] = None
                    todo.append(feeder.end)
        return [*found]

    def _across(self) -> None:
        """The x and the width of each bar: wide as its loads want, its tier as wide as the sheet."""
        right = WIDE - _TRACK * (len(self.far) + 1)
        #: whether every name and figure has room
        self.roomy = True
        for tier in self.tiers:
            tier.sort(key=lambda b: self._pull(b, right))
            shares = [self._wanted(b) for b in tier]
            room = right - _GAP * (len(tier) - 1)
            self.roomy &= sum(shares) <= room
            x = 0.0
            for bar, share in zip(tier, shares, strict=True):
                bar.x, bar.wide = x, room * share / sum(shares)
                x += bar.wide + _GAP
                longest = max((len(words) for words in bar.loads), default=1)
                column = max(70.0, min(longest, 34) * _LETTER * self.size + 8)
                bar.columns = max(1, int((bar.wide - self._lead(bar)) / column))

    def _wanted(self, bar: _Bar) -> float:
        """The width with which nothing at a bar is clipped."""
        name = len(bar.words) * _BOLD * self.size + 12
        if bar.name in self.found.sources:
            return max(name, 90.0)
        entering = [f for f in self.links if f.end == bar.name]
        label = max((len(w) for f in entering for w in self._label(f)), default=0)
        longest = max((len(words) for words in bar.loads), default=0)
        columns = min(3, -(-len(bar.loads) // 5))
        return max(
            name + 14 + len(entering) * (label * _LETTER * self.size + 9),
            self._lead(bar) + columns * (longest * _LETTER * self.size + 8),
        )

    def _pull(self, bar: _Bar, right: float) -> float:
        above = [self.bars[f.start] for f in self.links if f.end == bar.name]
        middles = [b.x + b.wide / 2 for b in above if b.tier < bar.tier]
        return sum(middles) / len(middles) if middles else right / 2

    def _lead(self, bar: _Bar) -> float:
        """The left end of a bar, from which lines go down beside its loads."""
        return 8.0 + _TRACK * sum(f.start == bar.name for f in self.links)

    def _down(self) -> float:
        """The y of each bar, and the height of it all."""
        y = 0.0
        for number, tier in enumerate(self.tiers):
            if number:
                entering = [f for f in self.links if self.bars[f.end].tier == number]
                self.tops = getattr(self, "tops", {})
                self.tops[number] = y
                labels = max((len(self._label(f)) for f in entering), default=0)
                y += _TRACK * (len(entering) + 1) + labels * self.line + 4
            for bar in tier:
                bar.y = y
            rows = max(-(-len(b.loads) // b.columns) for b in tier)
            y += self.line + _BOX + rows * self.line + 6 + self.spare
        return y

    def _label(self, link: Feeder) -> list[str]:
        """What is on a way, one device with its rating a line."""
        lines = [
            _rated(self.design, n) if isinstance(self.design.parts[n], p.Protector) else n
            for n in link.devices
        ]
        return lines if link.normal else [*lines, "not in the normal state"]

    def svg(self) -> str:
        """The sheet."""
        body = "".join((*self._lines(), *map(self._bar, self.bars.values())))
        return (
            f'<svg class="brief" viewBox="0 0 {WIDE:g} {max(self.tall, 60):.1f}" width="{WIDE:g}pt" '
            f'height="{max(self.tall, 60):.1f}pt" font-size="{self.size:g}">{body}</svg>'
        )

    def _bar(self, bar: _Bar) -> str:
        source = bar.name in self.found.sources
        low = bar.y + self.line + _BOX
        room = int((bar.wide - 6) / (_BOLD * self.size) + 0.5)
        shape = (
            f'<path class="box" d="M{bar.x:.1f} {bar.y:.1f}H{bar.x + bar.wide:.1f}V{low:.1f}H{bar.x:.1f}Z"/>'
            if source
            else f'<path class="bar" d="M{bar.x:.1f} {low:.1f}H{bar.x + bar.wide:.1f}"/>'
        )
        words = safe(clipped(bar.words, room))
        at = f'x="{bar.x + 4:.1f}"' if source else f'x="{bar.x + bar.wide - 2:.1f}" text-anchor="end"'
        text = f'<text class="name" {at} y="{low - 4.5:.1f}">{words}</text>'
        return shape + text + "".join(self._load_words(bar, low))

    def _load_words(self, bar: _Bar, low: float) -> Iterator[str]:
        left = bar.x + self._lead(bar)
        column = (bar.wide - self._lead(bar)) / bar.columns
        rows = -(-len(bar.loads) // bar.columns)
        room = int(column / (_LETTER * self.size))
        for i, words in enumerate(bar.loads):
            x, y = left + column * (i // rows), low + self.line * (i % rows + 1)
            yield f'<text x="{x:.1f}" y="{y:.1f}">{safe(clipped(words, room))}</text>'

    def _lines(self) -> Iterator[str]:
        """Each way from bar to bar, with what is on it beside its lower end."""
        gutter = {id(f): WIDE - _TRACK * (i + 0.5) for i, f in enumerate(self.far)}
        leaving: dict[str, int] = {}
        for tier, group in groupby(
            sorted(self.links, key=lambda f: self.bars[f.end].tier), key=lambda f: self.bars[f.end].tier
        ):
            links = list(group)
            for number, link in enumerate(links):
                start, end = self.bars[link.start], self.bars[link.end]
                out = start.x + 6 + _TRACK * leaving.get(start.name, 0)
                leaving[start.name] = leaving.get(start.name, 0) + 1
                entering = [f for f in links if f.end == end.name]
                share = self._entry_room(end) / len(entering)
                into = end.x + 10 + share * entering.index(link)
                low = start.y + self.line + _BOX
                track = self.tops[tier] + _TRACK * (number + 1)
                way = f"M{out:.1f} {low:.1f}V{track:.1f}"
                if id(link) in gutter:
                    first = self.tops[start.tier + 1] + 1.5 * self.far.index(link)
                    way = f"M{out:.1f} {low:.1f}V{first:.1f}H{gutter[id(link)]:.1f}V{track:.1f}"
                foot = end.y + (self.line + _BOX if end.name in self.found.buses else 0)
                way += f"H{into:.1f}V{foot:.1f}"
                kind = "" if link.normal else " other"
                yield f'<path class="way{kind}" d="{way}"/>{self._arrow(into, foot, 1)}'
                if (link.end, link.start) in self.back:
                    yield self._arrow(out, low, -1)
                lines = self._label(link)
                room = int((share - 6) / (_LETTER * self.size) + 0.5)
                top = self.tops[tier] + _TRACK * (len(links) + 1) + self.line * 0.7
                for i, words in enumerate(lines):
                    yield (
                        f'<text class="on" x="{into + 3:.1f}" y="{top + i * self.line:.1f}">'
                        f"{safe(clipped(words, room))}</text>"
                    )

    def _entry_room(self, bar: _Bar) -> float:
        """The width of a bar on which lines may end: beside its name, or within it where that is long."""
        return max(bar.wide - 14 - len(bar.words) * _BOLD * self.size, 0.5 * bar.wide)

    @staticmethod
    def _arrow(x: float, y: float, down: int) -> str:
        return f'<path class="head" d="M{x:.1f} {y:.1f}l-2.5 {-5 * down}h5Z"/>'
