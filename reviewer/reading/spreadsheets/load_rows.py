"""A row of a load list -> the path from its bus through protection and switch to the load and back."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from reviewer.reading.circuits.figures import Figure
from reviewer.reading.circuits.grammar import parse
from reviewer.reading.circuits.kinds_in_line import CONSUMERS, PROTECTORS
from reviewer.reading.circuits.line import Line
from reviewer.reading.circuits.path_nodes import Join, MadeNode, Node, Path, PlaceNode
from reviewer.reading.problem import choices, nearest
from reviewer.reading.spreadsheets.cells import CellError, quantity_in
from reviewer.reading.spreadsheets.columns import LOAD_COLUMNS
from reviewer.reading.spreadsheets.row_cells import NOT_OF_THE_LIST, RowCells


class LoadListRow:
    """One load with its feed and its return.

    ``known`` are names of parts that are made elsewhere, ``declared`` those under ``parts`` as data.
    """

    def __init__(self, cells: RowCells, known: Collection[str], declared: Mapping[str, Any]):
        self.cells, self.known, self.declared = cells, known, declared

    def line(self) -> Line | None:
        """The line of the row; None for one without a load."""
        cells = self.cells
        name = cells.name("load", "load")
        cells.said = f"load {name}: " if name else ""
        if not name:
            if cells.whole:
                cells.say(
                    "load",
                    f"this row names no load; {NOT_OF_THE_LIST}",
                )
            return None
        if "." in name:
            cells.say(
                "load", f"the name `{name}` must not contain a dot; the dot separates part and terminal"
            )
            return None
        load = self._load(name)
        bus = cells.place_node("bus", "bus")
        if bus is None and not cells.blamed("bus") and not cells.read.table.wires:
            cells.say("bus", "this row names no bus; write it in each row")
        protection, switch, back = self._protection(), self._switch(), self._back()
        wired = not cells.read.table.wires
        circuit = f"{cells.text('circuit')} {name}".strip()
        path = self._path([bus, protection, switch, load, back], wired)
        path.whole = cells.whole
        return Line(circuit, cells.read.at, cells.said, cells.place, path, listed=True, wired=wired)

    def _path(self, nodes: list[Node | None], wired: bool) -> Path:
        """The nodes with the wires between them; of what has no wires here, what it makes."""
        cells = self.cells
        bus, protection, switch, load, back = nodes
        path = Path([bus])
        if protection:
            path.nodes.append(protection)
            path.joins.append(Join(protection.at, plus=True))
        if not wired:
            path.nodes += [node for node in (switch, load) if isinstance(node, MadeNode)]
            return path
        gauge = cells.figures("gauge")
        if switch is None and cells.text("switch-length"):
            cells.say("switch-length", "this row names no switch; the wire has its `length` alone")
        for node, figures in (
            (switch, gauge | cells.figures("switch-length:length")),
            (load, gauge | cells.figures("length")),
            (back, cells.figures("return-gauge:gauge", "return-length:length")),
        ):
            if node is not None or node is not switch:
                own = node.at if node else 0
                at = next((f.at for f in figures.values()), own if own >= 0 else cells.index("load"))
                path.joins.append(Join(at, values=figures))
                path.nodes.append(node)
        return path

    def _load(self, name: str) -> Node:
        cells = self.cells
        kind = cells.text("kind").lower() or "load"
        if kind not in CONSUMERS:
            cells.say(
                "kind", f"`{kind}` is not one of {choices(CONSUMERS)}; write what is neither under `parts`"
            )
            kind = "load"
        values = {}
        if drawn := cells.quantity("amperes"):
            values["power" if drawn[1] == "power" else "current"] = drawn[0]
        values |= cells.figures("peak")
        values |= cells.others(kind, tuple(LOAD_COLUMNS))
        at = cells.index("load")
        if name in self.known:
            self._compare(name, values)
            return PlaceNode(at, name, "")
        return MadeNode(at, kind, name, None, values)

    def _protection(self) -> Node | None:
        cells = self.cells
        text = cells.text("protection")
        rating = cells.quantity("rating")
        name, label = cells.name("protection-name", "part"), cells.text("protection-label")
        kind = text.lower().replace(" ", "-")
        kind = kind if kind in PROTECTORS else text.partition(" ")[0].lower()
        if kind in PROTECTORS:
            node = self._made(kind, text[len(kind) :], "protection")
            node.name = name or node.name
            if label:
                node.label = Figure(label, cells.index("protection-label"))
            if rating and node.values.setdefault("rating", rating[0]).value != rating[0].value:
                cells.say(
                    "rating", f"`rating` is {node.values['rating'].value} beside `protection`; say it once"
                )
            return node
        if text.partition(".")[0] in self.known:
            self._compare(text.partition(".")[0], {"rating": rating[0]} if rating else {})
            return cells.place_node("protection", "part")
        if text:
            near = nearest(kind, [*PROTECTORS, *self.known])
            said = f"`words: {{{text}: breaker}}` at the table says what it stands for"
            cells.say(
                "protection",
                f"`{text}` is not a kind of circuit protection{near}; it may be {choices(PROTECTORS)}, or a "
                f"part under `parts`; {said}",
            )
        elif rating or name or label:
            key = "rating" if rating else "protection-name" if name else "protection-label"
            cells.say(
                key,
                f"`{cells.text(key)}` of which kind of protection? Name a column for `protection`, or write "
                "`protection: breaker` for the whole table",
            )
        return None

    def _made(self, kind: str, rest: str, key: str) -> MadeNode:
        """A part of a cell that has more than its kind, as a path has it: ``breaker 5 A (zone panel)``."""
        at = self._made_at(key)
        if not rest.strip():
            return MadeNode(at, kind, "", None, {})
        path = parse(kind + rest, (), lambda _, message: self.cells.say(key, message))
        node = path.nodes[0] if len(path.nodes) == 1 else None
        if not isinstance(node, MadeNode):
            if path.whole:
                self.cells.say(key, f"`{kind}{rest}` is more than one part")
            return MadeNode(at, kind, "", None, {})
        values = {k: Figure(figure.value, at) for k, figure in node.values.items()}
        return MadeNode(at, kind, node.name, Figure(node.label.value, at) if node.label else None, values)

    def _made_at(self, key: str) -> int:
        """The cell at which something is made; of what stands for the whole table that of its rating, or
        of its load."""
        found = (self.cells.index(k) for k in (key, "rating", "load"))
        return next(at for at in found if at >= 0)

    def _switch(self) -> Node | None:
        cells = self.cells
        name = cells.name("switch", "switch")
        if not name:
            return None
        if name.partition(".")[0] in self.known:
            return cells.place_node("switch", "switch")
        if name.startswith("switch "):
            return self._made("switch", name[len("switch") :], "switch")
        return MadeNode(cells.index("switch"), "switch", name, None, {})

    def _back(self) -> Node | None:
        cells = self.cells
        if cells.read.table.wires:
            return None
        node = cells.place_node("return", "place")
        if node is None and not cells.blamed("return"):
            cells.say("return", "this row does not say where the load returns to; nothing is assumed")
        return node

    def _compare(self, name: str, values: Mapping[str, Figure]) -> None:
        """What a row says of a part that is made elsewhere must be what stands there."""
        part = self.declared.get(name)
        for key, figure in values.items():
            there = part.get(key) if isinstance(part, dict) else None
            if _plain(there) != figure.value:
                column = {"current": "amperes", "power": "amperes"}.get(key, key)
                told = f"`{key}: {there}` there" if there is not None else "no figure there"
                self.cells.say(
                    column,
                    f"`{name}` is made elsewhere already, with {told}; say it there alone, or the same "
                    "in both",
                )


def _plain(value: Any) -> Any:
    """A quantity of the file as a cell has it."""
    try:
        return (
            quantity_in(value, ("current", "power", "voltage"), "", False)[0]
            if isinstance(value, str)
            else value
        )
    except CellError:
        return value
