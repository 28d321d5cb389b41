"""Which symbol is drawn below which.

A search from the sources along the supply, then along the returns, then along the rest.

A return that ends at a ground, at structure or at the negative of a source is drawn as a reference
with that name, once for each wire; the connections between grounds are drawn under "Returns". So no
line crosses the sheet only to reach a ground.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.reports.schematic.sheet import BOTTOM, REFERENCES, TOP, DrawnBranch, DrawnRun, DrawnSymbol, Port
from reviewer.reports.schematic.sides import CircuitSides
from reviewer.reports.schematic.symbols import SOURCES, ends, symbols_of


class Hierarchy:
    """The symbols of a design with their branches.

    ``roots`` are the symbols below no other, each with the title of its section.
    """

    def __init__(self, design: Design, network: Network):
        self.design, self.network = design, network
        self.symbols = symbols_of(design, network)
        self.roots: list[tuple[DrawnSymbol, str]] = []
        self.runs: list[DrawnRun] = []
        self.consumers = {c.element: (c.plus, c.minus) for c in network.consumers}
        self.placed: set[DrawnSymbol] = set()
        self.drawn: set[str] = set()
        self.owners: dict[int, list[DrawnSymbol]] = {}
        for symbol in self.symbols:
            for node in symbol.nodes:
                self.owners.setdefault(node, []).append(symbol)
        self.wires: dict[int, list[tuple[str, int]]] = {}
        self.link_of: dict[str, int] = {}
        for i, link in enumerate(network.links):
            if link.element.startswith("wires/") and link.element not in self.link_of:
                self.link_of[link.element] = i
                self.wires.setdefault(link.a, []).append((link.element, link.b))
                self.wires.setdefault(link.b, []).append((link.element, link.a))
        self.sides = CircuitSides(network)
        self._grow_all()
        self._grown = len(self.symbols), [(f, f.children, f.width) for f in self.symbols if f.bar]

    def undivided(self) -> None:
        """Make each bar one again that a layout has cut into pieces."""
        count, bars = self._grown
        self.placed.difference_update(self.symbols[count:])
        del self.symbols[count:]
        for bar, children, width in bars:
            bar.children, bar.width = children, width

    def _grow_all(self) -> None:
        sources = [f for kind in SOURCES for f in self.symbols if f.kind == kind]
        for symbol in sources:
            self._root(symbol, "")
        todo = deque(sources)
        for symbol in [f for f in sources if f.kind == "alternator"]:
            todo.append(self._lead(symbol))
        self._grow(todo, self.sides.feeds)
        self._grow(deque(f for f in self.symbols if f in self.placed), lambda node: True)
        for magneto in [f for f in self.symbols if f.kind == "magneto" and f not in self.placed]:
            if magneto not in self.placed:
                self._root(magneto, "Ignition")
                self._grow(deque([magneto]), lambda node: True)
        grounds = [
            f
            for f in self.symbols
            if f.bar and f not in self.placed and any(map(self.sides.returns, f.nodes))
        ]
        for symbol in grounds:
            if symbol not in self.placed:
                self._root(symbol, "Returns")
                self._grow(deque([symbol]), lambda node: True, within=grounds)
        users = [f for f in self.symbols if f.element in self.consumers and f.kind not in REFERENCES]
        for unit in users:
            if unit.kind == "instrument" or self.design.parts[bare(unit.element)].driven:
                self._signals(unit)
        for name in self.design.of_kind(p.Switch):
            if self.design.parts[name].ground is not None:
                self._signals(next(f for f in self.symbols if f.element == f"parts/{name}"))
        for title, reached in (
            ("Other circuits", self.sides.reached),
            ("Wired to no source", lambda node: True),
        ):
            for symbol in self.symbols[:]:
                if symbol not in self.placed and (any(map(reached, symbol.nodes)) or not symbol.nodes):
                    self._root(symbol, title)
                    self._grow(deque([symbol]), lambda node: True)
        self._join_shared()

    def _root(self, symbol: DrawnSymbol, title: str) -> None:
        self.roots.append((symbol, title))
        self._place(symbol, symbol.nodes[0] if symbol.nodes else -1)

    def _place(self, symbol: DrawnSymbol, entered: int) -> None:
        """Gives a symbol its ports, met by the terminal ``entered``; a bar gets them run by run."""
        self.placed.add(symbol)
        if symbol.bar:
            return
        top, bottom = ends(symbol, self.consumers, entered)
        wide = symbol.kind in SOURCES
        for side, nodes in ((TOP, top), (BOTTOM, bottom)):
            for number, node in enumerate(nodes):
                column, shift = (number, 0) if wide and side == BOTTOM else (int(wide), number)
                symbol.ports[node] = Port(side, column, shift)
        symbol.width = 2 if wide or max(len(top), len(bottom)) > 4 else 1
        symbol.flipped = symbol.kind == "diode" and entered == symbol.nodes[1]

    def _lead(self, symbol: DrawnSymbol) -> DrawnSymbol:
        """Adds the lead of an alternator below it, as far as nothing branches off.

        Returns the last symbol of the lead.
        """
        node = symbol.nodes[0]
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
            symbol = self._add_below(symbol, node, wire, following[0], other)
            node = next(n for n in symbol.nodes if n != other)
        return symbol

    def _add_below(
        self,
        above: DrawnSymbol,
        leaves: int,
        element: str,
        symbol: DrawnSymbol,
        enters: int,
        link: int | None = None,
    ) -> DrawnSymbol:
        if element.startswith("wires/"):
            self.drawn.add(element)
        self._place(symbol, enters)
        symbol.parent = DrawnBranch(
            above, leaves, element, symbol, enters, self.link_of.get(element, -1) if link is None else link
        )
        above.children.append(symbol.parent)
        return symbol

    def _beside(self, symbol: DrawnSymbol, node: int, other: DrawnSymbol) -> DrawnSymbol:
        """Places another symbol of a part beside one that is entered by their common terminal.

        Where it is entered by another terminal, the other symbol is placed below.
        """
        branch = symbol.parent
        if branch is None or branch.enters != node:
            return self._add_below(symbol, node, other.element, other, node, -1)
        self._place(other, node)
        other.parent = DrawnBranch(branch.above, branch.leaves, other.element, other, node, -1, symbol)
        branch.above.children.insert(branch.above.children.index(branch) + 1, other.parent)
        return other

    def _refer(
        self, above: DrawnSymbol, leaves: int, element: str, node: int, kind: str, link: int | None = None
    ) -> None:
        """Hangs a reference to a terminal drawn elsewhere."""
        if element.startswith("wires/"):
            self.drawn.add(element)
        terminal = self.network.names[node]
        name = terminal if kind == "to-signal" else terminal.partition(".")[0]
        symbol = DrawnSymbol(
            len(self.symbols), kind, f"parts/{terminal.partition('.')[0]}", name, nodes=(node,)
        )
        self.symbols.append(symbol)
        self._add_below(above, leaves, element, symbol, node, link)

    def _grow(self, todo: deque[DrawnSymbol], wanted, within: Iterable[DrawnSymbol] = ()) -> None:
        grounds = set(within)
        while todo:
            symbol = todo.popleft()
            for node in symbol.nodes:
                if wanted(node) and not (
                    wanted == self.sides.feeds and symbol.kind == "alternator" and node != symbol.nodes[0]
                ):
                    todo.extend(self._from(symbol, node, grounds))
            if not grounds:
                self._mounting(symbol, wanted)

    def _from(self, symbol: DrawnSymbol, node: int, grounds: set[DrawnSymbol]) -> list[DrawnSymbol]:
        """Hangs everything that is joined to a terminal of a symbol on it."""
        found = []
        for other in self.owners.get(node, ()):
            if other not in self.placed and not other.bar:
                found.append(self._beside(symbol, node, other))
            elif other.bar and not symbol.bar and not self._hangs_on(symbol, other):
                found += self._plugged(symbol, node, other)  # a device plugged on a bus
        for wire, far in self.wires.get(node, ()):
            if wire in self.drawn:
                continue
            owners = self.owners.get(far, [])
            if not grounds and (kind := self._reference(far, symbol)):
                self._refer(symbol, node, wire, far, kind)
            elif not owners or (grounds and owners[0] not in grounds):
                continue
            elif owners[0] in self.placed:
                self._join(symbol, node, wire, owners[0], far)
            elif (
                owners[0].kind == "diode"
                and far == owners[0].nodes[1]
                and self.sides.feeds(owners[0].nodes[0])
            ):
                continue  # it lets current in from its other end, where it is met as well
            else:
                found.append(self._add_below(symbol, node, wire, owners[0], far))
        return found

    @staticmethod
    def _hangs_on(symbol: DrawnSymbol, other: DrawnSymbol) -> bool:
        return symbol.parent is not None and symbol.parent.above is other

    def _plugged(self, symbol: DrawnSymbol, node: int, bus: DrawnSymbol) -> list[DrawnSymbol]:
        """Draws what a device that was met by its load is plugged on: a bus below it, or a run to it."""
        if bus in self.placed:
            drawn = any(r.nodes == (node, node) and {r.one, r.other} == {symbol, bus} for r in self.runs)
            if not drawn and not self._meet(
                symbol, bus, node
            ):  # met from several wires at its other terminal
                self._join(symbol, node, symbol.element, bus, node)
            return []
        return [self._add_below(symbol, node, symbol.element, bus, node, -1)]

    def _reference(self, node: int, seen_from: DrawnSymbol) -> str:
        """The kind of reference for a terminal, or "" where the terminal itself is drawn here."""
        owner = self.network.names[node].partition(".")[0]
        part = self.design.parts[owner]
        if node in self.sides.negatives and seen_from.element != f"parts/{owner}":
            return "to-negative"
        if part.open_ended and self.sides.returns(node) and seen_from.kind != "signals":
            return "to-structure" if isinstance(part, p.Airframe) else "to-ground"
        return "to-signal" if isinstance(part, p.Consumer) and node not in self.owners else ""

    def _join(self, symbol: DrawnSymbol, node: int, wire: str, other: DrawnSymbol, far: int) -> None:
        """Draws a wire between two symbols that are placed already."""
        self.drawn.add(wire)
        if self.sides.distance(far) < self.sides.distance(node):
            symbol, node, other, far = other, far, symbol, node
        one = Port(BOTTOM, 0) if symbol.bar else symbol.ports[node]
        two = Port(TOP, 0) if other.bar else other.ports[far]
        self.runs.append(DrawnRun(wire, symbol, one, other, two, (node, far), self.link_of.get(wire, -1)))

    def _join_shared(self) -> None:
        """Joins the symbols of a part that share a terminal and were met at others of theirs."""
        for node, owners in self.owners.items():
            here = [f for f in owners if node in f.ports]
            for other in here[1:]:
                if not any(self._meet(one, other, node) for one in here[: here.index(other)]):
                    one = here[0]
                    self.runs.append(
                        DrawnRun(
                            other.element, one, one.ports[node], other, other.ports[node], (node, node), -1
                        )
                    )

    @staticmethod
    def _meet(one: DrawnSymbol, other: DrawnSymbol, node: int) -> bool:
        """Whether a line joins two symbols at a terminal of both already."""
        return any(
            b.symbol is below and (b.beside is above or (b.above is above and b.leaves == b.enters == node))
            for above, below in ((one, other), (other, one))
            for b in (below.parent,)
            if b is not None
        )

    def _mounting(self, symbol: DrawnSymbol, wanted) -> None:
        part = self.design.parts.get(bare(symbol.element))
        place = getattr(part, "mounted_on", None)
        if (
            not place
            or symbol.kind in (*REFERENCES, "signals")
            or any(b.symbol.kind == "to-structure" and b.element == symbol.element for b in symbol.children)
        ):
            return
        own = "ground" if isinstance(part, (p.Alternator, p.Regulator, p.Magneto)) else "return"
        own = part.returns[0] if isinstance(part, p.Consumer) else own
        node = self.network.index[f"{bare(symbol.element)}.{own}"]
        if wanted(node):
            far = self.network.index[place]
            link = next(
                i
                for i, k in enumerate(self.network.links)
                if k.element == symbol.element and {k.a, k.b} == {node, far}
            )
            self._refer(symbol, node, symbol.element, far, "to-structure", link)

    def _signals(self, instrument: DrawnSymbol) -> None:
        """Adds the signal terminals and outputs of a unit, or the ground lead of a switch, as a bar, with
        their connections below."""
        name = bare(instrument.element)
        part = self.design.parts[name]
        terminals = [part.ground] if isinstance(part, p.Switch) else part.terminals()
        nodes = [n for t in terminals if (n := self.network.index[f"{name}.{t}"]) not in instrument.nodes]
        if not any(wire not in self.drawn for n in nodes for wire, _ in self.wires.get(n, ())):
            return
        bar = DrawnSymbol(len(self.symbols), "signals", instrument.element, name, "signals", tuple(nodes))
        self.symbols.append(bar)
        self._root(bar, "Signals")
        self._grow(deque([bar]), lambda node: True)
