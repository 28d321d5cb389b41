"""Which figure hangs on which: a walk from the sources along the supply, then along the returns, then along what is left.

A return that ends at a ground, at structure or at the negative of a source is drawn as a reference with that name, once for each wire; the
connections between grounds are drawn under "Returns". So no line crosses the sheet only to reach a ground.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.reports.diagram.figures import SOURCES, ends, figures_of
from reviewer.reports.diagram.sheet import BOTTOM, REFERENCES, TOP, Branch, Figure, Port, Run


class Planted:
    """The figures of a design with their branches; ``roots`` are those that hang on nothing, each with the title of its section."""

    def __init__(self, design: Design, network: Network):
        self.design, self.network = design, network
        self.figures = figures_of(design, network)
        self.roots: list[tuple[Figure, str]] = []
        self.runs: list[Run] = []
        self.consumers = {c.element: (c.plus, c.minus) for c in network.consumers}
        self.placed: set[Figure] = set()
        self.drawn: set[str] = set()
        self.owners: dict[int, list[Figure]] = {}
        for figure in self.figures:
            for node in figure.nodes:
                self.owners.setdefault(node, []).append(figure)
        self.wires: dict[int, list[tuple[str, int]]] = {}
        self.link_of: dict[str, int] = {}
        for i, link in enumerate(network.links):
            if link.element.startswith("wires/") and link.element not in self.link_of:
                self.link_of[link.element] = i
                self.wires.setdefault(link.a, []).append((link.element, link.b))
                self.wires.setdefault(link.b, []).append((link.element, link.a))
        self.supply = _reach(network, [s.positive for s in network.sources], True)
        self.back = _reach(network, [s.negative for s in network.sources], False)
        self.negatives = {s.negative for s in network.sources}
        self._grow_all()

    def quiet(self, node: int) -> bool:
        """Whether a terminal carries no supply: it is on the return side, or a signal."""
        return not self._feeds(node)

    def _returns(self, node: int) -> bool:
        """Whether a terminal belongs to the return side: it reaches a negative and is nearer to one than to any positive."""
        return node in self.back and self.back[node] < self.supply.get(node, 1 << 30)

    def _feeds(self, node: int) -> bool:
        return node in self.supply and not self._returns(node)

    def _grow_all(self) -> None:
        sources = [f for kind in SOURCES for f in self.figures if f.kind == kind]
        for figure in sources:
            self._root(figure, "")
        todo = deque(sources)
        for figure in [f for f in sources if f.kind == "alternator"]:
            todo.append(self._lead(figure))
        self._grow(todo, self._feeds)
        self._grow(deque(f for f in self.figures if f in self.placed), lambda node: True)
        grounds = [
            f for f in self.figures if f.bar and f not in self.placed and any(map(self._returns, f.nodes))
        ]
        for figure in grounds:
            if figure not in self.placed:
                self._root(figure, "Returns")
                self._grow(deque([figure]), lambda node: True, within=grounds)
        for instrument in [f for f in self.figures if f.kind == "instrument"]:
            self._signals(instrument)
        for figure in self.figures[:]:
            if figure not in self.placed:
                self._root(figure, "Parts that no source feeds")
                self._grow(deque([figure]), lambda node: True)

    def _root(self, figure: Figure, title: str) -> None:
        self.roots.append((figure, title))
        self._place(figure, figure.nodes[0] if figure.nodes else -1)

    def _place(self, figure: Figure, entered: int) -> None:
        """Gives a figure its ports, met by the terminal ``entered``; a bar gets them run by run."""
        self.placed.add(figure)
        if figure.bar:
            return
        top, bottom = ends(figure, self.consumers, entered)
        wide = figure.kind in SOURCES
        for side, nodes in ((TOP, top), (BOTTOM, bottom)):
            for number, node in enumerate(nodes):
                column, shift = (number, 0) if wide and side == BOTTOM else (int(wide), number)
                figure.ports[node] = Port(side, column, shift)
        figure.width = 2 if wide or max(len(top), len(bottom)) > 4 else 1
        figure.flipped = figure.kind == "diode" and entered == figure.nodes[1]

    def _lead(self, figure: Figure) -> Figure:
        """Hangs the lead of an alternator on it, as far as nothing branches off; gives the last figure of the lead."""
        node = figure.nodes[0]
        while len(self.wires.get(node, ())) == 1:
            ((wire, other),) = self.wires[node]
            following = [f for f in self.owners.get(other, ()) if f not in self.placed]
            if (
                len(following) != 1
                or following[0].bar
                or len(following[0].nodes) != 2
                or len(self.wires[other]) != 1
                or wire in self.drawn
            ):
                break
            if following[0].kind == "diode" and other != following[0].nodes[0]:
                break
            figure = self._hang(figure, node, wire, following[0], other)
            node = next(n for n in figure.nodes if n != other)
        return figure

    def _hang(
        self, above: Figure, leaves: int, element: str, figure: Figure, enters: int, link: int | None = None
    ) -> Figure:
        if element.startswith("wires/"):
            self.drawn.add(element)
        self._place(figure, enters)
        figure.parent = Branch(
            above, leaves, element, figure, enters, self.link_of.get(element, -1) if link is None else link
        )
        above.children.append(figure.parent)
        return figure

    def _beside(self, figure: Figure, node: int, other: Figure) -> Figure:
        """Stands another figure of the same part beside one that is met by the terminal which both share, or else hangs it on that terminal."""
        branch = figure.parent
        if branch is None or branch.enters != node:
            return self._hang(figure, node, other.element, other, node, -1)
        self._place(other, node)
        other.parent = Branch(branch.above, branch.leaves, other.element, other, node, -1, figure)
        branch.above.children.insert(branch.above.children.index(branch) + 1, other.parent)
        return other

    def _refer(
        self, above: Figure, leaves: int, element: str, node: int, kind: str, link: int | None = None
    ) -> None:
        """Hangs a reference to a terminal drawn elsewhere."""
        if element.startswith("wires/"):
            self.drawn.add(element)
        terminal = self.network.names[node]
        name = terminal if kind == "to-signal" else terminal.partition(".")[0]
        figure = Figure(len(self.figures), kind, f"parts/{terminal.partition('.')[0]}", name, nodes=(node,))
        self.figures.append(figure)
        self._hang(above, leaves, element, figure, node, link)

    def _grow(self, todo: deque[Figure], wanted, within: Iterable[Figure] = ()) -> None:
        grounds = set(within)
        while todo:
            figure = todo.popleft()
            for node in figure.nodes:
                if wanted(node) and not (
                    wanted == self._feeds and figure.kind == "alternator" and node != figure.nodes[0]
                ):
                    todo.extend(self._from(figure, node, grounds))
            if not grounds:
                self._mounting(figure, wanted)

    def _from(self, figure: Figure, node: int, grounds: set[Figure]) -> list[Figure]:
        """Hangs everything that is joined to a terminal of a figure on it."""
        found = []
        for other in self.owners.get(node, ()):
            if other not in self.placed and not other.bar:
                found.append(self._beside(figure, node, other))
        for wire, far in self.wires.get(node, ()):
            if wire in self.drawn:
                continue
            owners = self.owners.get(far, [])
            if not grounds and (kind := self._reference(far, figure)):
                self._refer(figure, node, wire, far, kind)
            elif not owners or (grounds and owners[0] not in grounds):
                continue
            elif owners[0] in self.placed:
                self._join(figure, node, wire, owners[0], far)
            elif owners[0].kind == "diode" and far == owners[0].nodes[1] and self._feeds(owners[0].nodes[0]):
                continue  # it lets current in from its other end, where it is met as well
            else:
                found.append(self._hang(figure, node, wire, owners[0], far))
        return found

    def _reference(self, node: int, seen_from: Figure) -> str:
        """The kind of reference that stands for a terminal, or "" where it is drawn where the walk meets it."""
        owner = self.network.names[node].partition(".")[0]
        part = self.design.parts[owner]
        if node in self.negatives and seen_from.element != f"parts/{owner}":
            return "to-negative"
        if part.open_ended and self._returns(node) and seen_from.kind != "signals":
            return "to-structure" if isinstance(part, p.Airframe) else "to-ground"
        return "to-signal" if isinstance(part, p.Instrument) and node not in self.owners else ""

    def _join(self, figure: Figure, node: int, wire: str, other: Figure, far: int) -> None:
        """A wire between two figures that hang elsewhere."""
        self.drawn.add(wire)
        if self.supply.get(far, 1 << 30) < self.supply.get(node, 1 << 30):
            figure, node, other, far = other, far, figure, node
        one = Port(BOTTOM, 0) if figure.bar else figure.ports[node]
        two = Port(TOP, 0) if other.bar else other.ports[far]
        self.runs.append(Run(wire, figure, one, other, two, (node, far), self.link_of[wire]))

    def _mounting(self, figure: Figure, wanted) -> None:
        part = self.design.parts.get(bare(figure.element))
        place = getattr(part, "mounted_on", None)
        if (
            not place
            or figure.kind in (*REFERENCES, "signals")
            or any(b.figure.kind == "to-structure" and b.element == figure.element for b in figure.children)
        ):
            return
        node = self.network.index[
            f"{bare(figure.element)}.{part.returns[0] if isinstance(part, p.Consumer) else 'return'}"
        ]
        if wanted(node):
            far = self.network.index[place]
            link = next(
                i
                for i, k in enumerate(self.network.links)
                if k.element == figure.element and {k.a, k.b} == {node, far}
            )
            self._refer(figure, node, figure.element, far, "to-structure", link)

    def _signals(self, instrument: Figure) -> None:
        """The signal terminals of an instrument as a bar of their own, with what is joined to them under it."""
        name = bare(instrument.element)
        nodes = [
            n
            for t in self.design.parts[name].terminals()
            if (n := self.network.index[f"{name}.{t}"]) not in instrument.nodes
        ]
        if not any(wire not in self.drawn for n in nodes for wire, _ in self.wires.get(n, ())):
            return
        bar = Figure(len(self.figures), "signals", instrument.element, name, "signals", tuple(nodes))
        self.figures.append(bar)
        self._root(bar, "Signals")
        self._grow(deque([bar]), lambda node: True)


def _reach(network: Network, starts: list[int], forward: bool) -> dict[int, int]:
    """Steps from the nearest start to each terminal, by any switch position; through a diode with the current (``forward``) or against it."""
    steps = dict.fromkeys(starts, 0)
    todo = deque(starts)
    while todo:
        node = todo.popleft()
        for i, other, leaving in network.around[node]:
            if other not in steps and not (network.links[i].oneway and leaving is not forward):
                steps[other] = steps[node] + 1
                todo.append(other)
    return steps
