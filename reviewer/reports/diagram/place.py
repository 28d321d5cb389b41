"""Rows and columns: what hangs on one head makes a section, sections stand side by side on shelves, a wide bar goes on in the shelf below."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.reports.diagram.plant import Planted
from reviewer.reports.diagram.sheet import BOTTOM, TOP, Figure, Port, Run, Section, Sheet

#: columns of a sheet: what fits on a page with letters that can be read
COLUMNS = 12
#: from so many columns on, a bar gets a section of its own
_OWN_SECTION = 4
_ENDS = ("load", "instrument", "electronic", "resistive", "inductive", "motor", "starter", "lamp", "heater")


def lay_out(design: Design, network: Network) -> Sheet:
    """The sheet of a design. The same design gives the same sheet."""
    planted = Planted(design, network)
    builder = _Builder(planted)
    sections = builder.sections()
    rows, breaks = _shelve(sections)
    figures = [f for s in sections for f in s.figures]
    runs = _runs(planted, figures)
    for figure in figures:
        figure.quiet = all(map(planted.quiet, figure.nodes))
    for run in runs:
        run.quiet = all(map(planted.quiet, run.nodes))
    return Sheet(figures, runs, sections, rows, COLUMNS, breaks)


class _Builder:
    def __init__(self, planted: Planted):
        self.planted = planted
        self.heads: set[Figure] = set()
        self.spans: dict[Figure, int] = {}
        self.more: dict[Figure, list[Figure]] = {}

    def sections(self) -> list[Section]:
        found: list[Section] = []
        below: list[Section] = []
        for root, title in self.planted.roots:
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

    def _measure(self, root: Figure) -> None:
        """The width of what hangs on each figure, from the ends up; what is too wide for a sheet gets a section of its own."""
        order = [root]
        for figure in order:
            order.extend(b.figure for b in figure.children)
        for figure in reversed(order):
            if figure.bar:
                self._divide(figure)
                continue
            while self._sum(figure) > COLUMNS:
                widest = max(
                    (b.figure for b in figure.children if b.figure not in self.heads),
                    key=lambda f: self.spans[f],
                )
                self.heads.add(widest)
            self.spans[figure] = max(figure.width, self._sum(figure))

    def _sum(self, figure: Figure) -> int:
        return sum(self.spans[b.figure] for b in figure.children if b.figure not in self.heads)

    def _divide(self, bar: Figure) -> None:
        """Cuts a bar that is too wide into pieces that follow one another."""
        groups: list[list] = [[]]
        room = COLUMNS
        for branch in bar.children:
            width = 0 if branch.figure in self.heads else self.spans[branch.figure]
            if width > room:
                groups.append([])
                room = COLUMNS
            groups[-1].append(branch)
            room -= width
        whole = self._sum(bar)
        bar.children = groups[0]
        self.spans[bar] = bar.width = max(1, self._sum(bar))
        for group in groups[1:]:
            piece = Figure(
                len(self.planted.figures), bar.kind, bar.element, bar.name, bar.note, bar.nodes, continues=bar
            )
            self.planted.figures.append(piece)
            self.planted.placed.add(piece)
            piece.children = group
            self.spans[piece] = piece.width = self._sum(piece) or 1
            self.more.setdefault(bar, []).append(piece)
        if whole >= _OWN_SECTION or len(groups) > 1:
            self.heads.add(bar)

    def _gather(self, head: Figure, title: str, found: list[Section]) -> None:
        """Makes the section of a head and of every piece and head below it, each before those that hang on it."""
        for piece in (head, *self.more.get(head, ())):
            section = Section(piece, title, width=max(self.spans[piece], 1))
            later: list[Figure] = []
            self._stand(piece, 0, 0, section, later)
            _align(section)
            found.append(section)
            for figure in later:
                self._gather(figure, title, found)

    def _stand(self, figure: Figure, row: int, column: int, section: Section, later: list[Figure]) -> None:
        todo = [(figure, row, column)]
        while todo:
            figure, row, column = todo.pop()
            figure.row, figure.column = row, column
            section.figures.append(figure)
            at, below = column, []
            for branch in figure.children:
                if branch.figure in self.heads:
                    later.append(branch.figure)
                else:
                    below.append((branch.figure, row + 1, at))
                    at += self.spans[branch.figure]
            todo.extend(reversed(below))


def _align(section: Section) -> None:
    """Brings the loads of a section under which no other load hangs to one row, with what hangs on them below it."""
    here = set(section.figures)
    loads = [
        f
        for f in section.figures
        if f.kind in _ENDS and not any(g.kind in _ENDS for g in _below(f, here)[1:])
    ]
    deepest = max((f.row for f in loads), default=0)
    for load in loads:
        step = deepest - load.row
        for figure in _below(load, here):
            figure.row += step
    section.height = max(f.row for f in section.figures) + 1


def _below(figure: Figure, here: set[Figure]) -> list[Figure]:
    """A figure and all that hangs on it in its section."""
    found = [figure]
    for one in found:
        found.extend(b.figure for b in one.children if b.figure in here)
    return found


def _shelve(sections: list[Section]) -> tuple[int, tuple[int, ...]]:
    """Gives sections their places, each on the first of the last shelves with room; gives the number of rows and where shelves begin."""
    shelves: list[list[Section]] = []
    for section in sections:
        fits = None
        if shelves and not (section.title and section.title != shelves[-1][0].title):
            fits = shelves[-1] if sum(s.width for s in shelves[-1]) + section.width <= COLUMNS else None
        if fits is None:
            shelves.append(fits := [])
        section.column = sum(s.width for s in fits)
        fits.append(section)
    row, breaks = 0, []
    for shelf in shelves:
        breaks.append(row)
        for section in shelf:
            section.row = row
            for figure in section.figures:
                figure.row += row
                figure.column += section.column
        row += max(s.height for s in shelf)
    return row, tuple(breaks)


def _runs(planted: Planted, figures: list[Figure]) -> list[Run]:
    """Every line: those by which figures hang, those between figures that hang elsewhere, and the joints of bars that go on."""
    runs = []
    tops: dict[Figure, int] = {}

    def top_of(bar: Figure) -> Port:
        number = tops[bar] = tops.get(bar, -1) + 1
        return Port(TOP, number % bar.width, number // bar.width)

    for figure in figures:
        if figure.continues is not None:
            runs.append(
                Run(
                    figure.element,
                    figure.continues,
                    top_of(figure.continues),
                    figure,
                    top_of(figure),
                    (figure.nodes[0], figure.nodes[0]),
                    -1,
                )
            )
        for branch in figure.children:
            below = branch.figure
            if branch.beside is not None:
                one, node = branch.beside, branch.enters
                runs.append(
                    Run(branch.element, one, one.ports[node], below, below.ports[node], (node, node), -1)
                )
                continue
            port = figure.ports.get(branch.leaves)
            if figure.bar:
                inside = (
                    below.row > figure.row and figure.column <= below.column < figure.column + figure.width
                )
                port = (
                    Port(BOTTOM, below.column - figure.column)
                    if inside
                    else Port(BOTTOM, figure.width - 1, 3)
                )
            assert port is not None
            runs.append(
                Run(
                    branch.element,
                    figure,
                    port,
                    below,
                    top_of(below) if below.bar else below.ports[branch.enters],
                    (branch.leaves, branch.enters),
                    branch.link,
                )
            )
    for run in planted.runs:
        if run.other.bar:
            run.other_port = top_of(run.other)
        if run.one.bar:
            run.port = _under(run.one, run.other, run.other_port) or top_of(run.one)
        elif run.other.bar and (port := _under(run.other, run.one, run.port)):
            run.other_port = port
        runs.append(run)
    return runs


def _under(bar: Figure, figure: Figure, port: Port) -> Port | None:
    """The port at the bottom of a bar from which a figure that stands under it is best reached."""
    column = figure.column + port.column - bar.column
    if figure.row <= bar.row or not 0 <= column < bar.width:
        return None
    return Port(BOTTOM, column, port.shift if port.side == TOP else 4)
