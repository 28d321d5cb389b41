"""Rows and columns of the sheet.

All symbols below one head make a section. Sections stand side by side on shelves, and a wide bar
continues on the shelf below.
"""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.reports.schematic.hierarchy import Hierarchy
from reviewer.reports.schematic.runs import runs_of
from reviewer.reports.schematic.sheet import DrawnSymbol, Section, Sheet

#: columns of a sheet: what fits on a page with letters that can be read
COLUMNS = 9
#: from so many columns on, a bar gets a section of its own
_OWN_SECTION = 4
_ENDS = ("load", "instrument", "electronic", "resistive", "inductive", "motor", "starter", "lamp", "heater")


def lay_out(design: Design, network: Network, columns: int = COLUMNS, back: int = 1) -> Sheet:
    """The sheet of a design, of so many columns; a narrow section may stand on any of the last ``back``
    shelves. The same design gives the same sheet."""
    return laid_out(Hierarchy(design, network), columns, back)


def laid_out(hierarchy: Hierarchy, columns: int, back: int = 1) -> Sheet:
    """:func:`lay_out` of symbols that have been found: sheets of the same ones share them, and the last
    holds alone."""
    hierarchy.undivided()
    builder = _SectionBuilder(hierarchy, columns)
    sections = builder.sections()
    rows, breaks = _shelve(sections, columns, back)
    symbols = [f for s in sections for f in s.symbols]
    runs = runs_of(hierarchy, symbols)
    for symbol in symbols:
        symbol.quiet = all(map(hierarchy.sides.quiet, symbol.nodes))
    for run in runs:
        run.shield = _shield_words(hierarchy.design, run.element)
        run.quiet = all(map(hierarchy.sides.quiet, run.nodes))
    return Sheet(symbols, runs, sections, rows, columns, breaks)


def _shield_words(design: Design, element: str) -> str | None:
    """Where the shield of a wire is grounded: the names of the grounds, or that it is open."""
    kind, _, name = element.partition("/")
    wire = design.wires.get(name) if kind == "wires" else None
    if wire is None or wire.shield is None:
        return None
    return ", ".join(place.partition(".")[0] for place in wire.shield) or "open"


class _SectionBuilder:
    def __init__(self, hierarchy: Hierarchy, columns: int):
        self.columns = columns
        self.hierarchy = hierarchy
        self.heads: set[DrawnSymbol] = set()
        self.spans: dict[DrawnSymbol, int] = {}
        self.more: dict[DrawnSymbol, list[DrawnSymbol]] = {}

    def sections(self) -> list[Section]:
        found: list[Section] = []
        below: list[Section] = []
        for root, title in self.hierarchy.roots:
            self._measure(root)
            mine: list[Section] = []
            self._gather(root, title, mine)
            sources = 1 + len(self.more.get(root, ())) if not title else 0
            found += mine[:sources]
            below += mine[sources:]
        found += below
        last = ""
        for section in found:
            section.title, last = (section.title if section.title != last else ""), section.title
        return found

    def _measure(self, root: DrawnSymbol) -> None:
        """The width below each symbol, from the ends up; too wide a part becomes a section."""
        order = [root]
        for symbol in order:
            order.extend(b.symbol for b in symbol.children)
        for symbol in reversed(order):
            if symbol.bar:
                self._divide(symbol)
                continue
            while self._sum(symbol) > self.columns:
                widest = max(
                    (b.symbol for b in symbol.children if b.symbol not in self.heads),
                    key=lambda f: self.spans[f],
                )
                self.heads.add(widest)
            self.spans[symbol] = max(symbol.width, self._sum(symbol))

    def _sum(self, symbol: DrawnSymbol) -> int:
        return sum(self.spans[b.symbol] for b in symbol.children if b.symbol not in self.heads)

    def _divide(self, bar: DrawnSymbol) -> None:
        """Cuts a bar that is too wide into pieces that follow one another."""
        groups: list[list] = [[]]
        room = self.columns
        for branch in bar.children:
            width = 0 if branch.symbol in self.heads else self.spans[branch.symbol]
            if width > room:
                groups.append([])
                room = self.columns
            groups[-1].append(branch)
            room -= width
        whole = self._sum(bar)
        bar.children = groups[0]
        self.spans[bar] = bar.width = max(1, self._sum(bar))
        before = bar
        for group in groups[1:]:
            piece = DrawnSymbol(
                len(self.hierarchy.symbols),
                bar.kind,
                bar.element,
                bar.name,
                bar.note,
                bar.nodes,
                continues=before,  # one line leads to the next piece, whatever their number
            )
            before = piece
            self.hierarchy.symbols.append(piece)
            self.hierarchy.placed.add(piece)
            piece.children = group
            self.spans[piece] = piece.width = self._sum(piece) or 1
            self.more.setdefault(bar, []).append(piece)
        if whole >= _OWN_SECTION or len(groups) > 1:
            self.heads.add(bar)

    def _gather(self, head: DrawnSymbol, title: str, found: list[Section]) -> None:
        """Makes the section of a head, then those of every piece and head below it."""
        for piece in (head, *self.more.get(head, ())):
            section = Section(piece, title, width=max(self.spans[piece], 1))
            later: list[DrawnSymbol] = []
            self._stand(piece, 0, 0, section, later)
            _align(section)
            found.append(section)
            for symbol in later:
                self._gather(symbol, title, found)

    def _stand(
        self, symbol: DrawnSymbol, row: int, column: int, section: Section, later: list[DrawnSymbol]
    ) -> None:
        todo = [(symbol, row, column)]
        while todo:
            symbol, row, column = todo.pop()
            symbol.row, symbol.column = row, column
            section.symbols.append(symbol)
            at, below = column, []
            for branch in symbol.children:
                if branch.symbol in self.heads:
                    later.append(branch.symbol)
                else:
                    below.append((branch.symbol, row + 1, at))
                    at += self.spans[branch.symbol]
            todo.extend(reversed(below))


def _align(section: Section) -> None:
    """Moves the loads of a section to one row, with the symbols below them.

    A load with another load below it stays.
    """
    here = set(section.symbols)
    loads = [
        f
        for f in section.symbols
        if f.kind in _ENDS and not any(g.kind in _ENDS for g in _below(f, here)[1:])
    ]
    deepest = max((f.row for f in loads), default=0)
    for load in loads:
        step = deepest - load.row
        for symbol in _below(load, here):
            symbol.row += step
    section.height = max(f.row for f in section.symbols) + 1


def _below(symbol: DrawnSymbol, here: set[DrawnSymbol]) -> list[DrawnSymbol]:
    """A symbol and all symbols below it in its section."""
    found = [symbol]
    for one in found:
        found.extend(b.symbol for b in one.children if b.symbol in here)
    return found


def _shelve(sections: list[Section], columns: int, back: int) -> tuple[int, tuple[int, ...]]:
    """Places each section on one of the last ``back`` shelves, or on a new one where it has no room.

    Sections with titles stand beside each other, and beside no others. Returns the number of rows and the
    row at which each shelf begins.
    """
    shelves: list[list[Section]] = []
    titled: int | None = None  # where the first shelf of sections with titles stands
    for section in sections:
        if section.title and titled is None:
            titled = len(shelves)
        recent = shelves[-back:] if titled is None else shelves[titled:][-1:]
        free = (shelf for shelf in reversed(recent) if _width(shelf) + section.width <= columns)
        shelf = next(free, None)
        if shelf is None:
            shelves.append(shelf := [])
        section.column = _width(shelf)
        shelf.append(section)
    row, breaks = 0, []
    for shelf in shelves:
        breaks.append(row)
        for section in shelf:
            section.row = row
            for symbol in section.symbols:
                symbol.row += row
                symbol.column += section.column
        row += max(s.height for s in shelf)
    return row, tuple(breaks)


def _width(shelf: list[Section]) -> int:
    """The columns that the sections of a shelf take."""
    return sum(section.width for section in shelf)
