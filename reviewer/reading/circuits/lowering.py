"""Circuits, and rows of tables -> the parts and wires that they stand for, as plain data with places."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from reviewer.model.places import CellPlace, Spot
from reviewer.reading.assemblies.origin import InstalledLine
from reviewer.reading.circuits import wire_numbers
from reviewer.reading.circuits.figures import Figure
from reviewer.reading.circuits.grammar import parse
from reviewer.reading.circuits.kinds_in_line import OPEN, PROTECTORS
from reviewer.reading.circuits.line import Line
from reviewer.reading.circuits.names_in_line import label_of, may_be_made, misspelt, positions_of
from reviewer.reading.circuits.path_nodes import Join, MadeNode, Node, Path, PlaceNode
from reviewer.reading.circuits.path_text import PathText
from reviewer.reading.circuits.terminals import Terminals
from reviewer.reading.circuits.traps import (
    after_the_path,
    comment_in_block,
    cut_by_comma,
    cut_short,
    without_blank,
    without_braces,
)
from reviewer.reading.problem import Problem, problem_at, shown
from reviewer.reading.unread_names import UnreadNames
from reviewer.reading.yaml_events import Places, Refused, pointer

Data = dict[str, Any]
#: the lines of tables by the names of parts that are made elsewhere; it adds words of rows with a mistake
Rows = Callable[[Collection[str], UnreadNames], Sequence[Line]]
#: with more mistakes than these the circuits after them are not read
MOST_MISTAKES = 100


class Lowered:
    """The circuits of a file and the ``rows`` of its tables. ``parts`` and ``wires`` are what they make;
    ``lines`` has each with the names of its parts and of its wires; ``unread`` takes the words of paths
    and rows with a mistake.

    ``rows`` gives the lines of tables by the names of parts that are made elsewhere.
    """

    def __init__(
        self,
        data: Data,
        values: Places,
        keys: Places,
        problems: list[Problem],
        unread: UnreadNames,
        rows: Rows,
    ):
        self.values, self.keys, self.problems = values, keys, problems
        self.declared: Data = _group(data, "parts")
        self.parts: Data = {}
        self.wires: Data = {}
        self.lines: list[Line] = []
        self._given_wires = _group(data, "wires")
        self._scheme, wrong = wire_numbers.scheme_of(data.get("wire-numbers", wire_numbers.PLAIN))
        if wrong:
            self._say_at("wire-numbers", wrong)
        self._auto: dict[str, int] = {}
        self._counts: dict[tuple[str, str, str], int] = {}
        self.unread = unread
        self._circuits(data.get("circuits", {}))
        known = {*self.declared, *self._named()}
        self.lines += rows(known, unread)
        self._taken = {*self.declared, *self._named()}
        for line in self.lines:
            self._check_letter(line)
            self._make_parts(line)
        paths = [line.path for line in self.lines]
        self.terminals = Terminals({**self.declared, **self.parts}, self._given_wires, paths, self.unread)
        for line in self.lines:
            self._bolt_on(line)
        for line in self.lines:
            if self._too_many(line.place(0), line.source):
                break
            if line.wired:
                self._join_up(line)
            else:
                self.terminals.check(line, self._sayer(line))
        self.unread |= self.terminals.absent

    @property
    def by_circuit(self) -> dict[str, tuple[list[str], list[str]]]:
        """For each circuit the names of its parts and of its wires."""
        return {line.name: line.made for line in self.lines if not line.listed}

    def _circuits(self, written: Any) -> None:
        if not isinstance(written, dict):
            if written is not Refused:
                said = f"expected paths by the name of their circuit, found {shown(written)}"
                self._say_at("circuits", said + without_blank(written))
            return
        cut = False
        for name, text in written.items():
            if text is None and cut:  # the rest of a path that a comma has cut
                self.unread |= set(name.split())
                continue
            cut = isinstance(text, PathText) and cut_by_comma(text)
            at = pointer("circuits", name)
            if self._too_many(self.keys.get(at, (1, 1)), at):
                break
            self._read(name, text)

    def _named(self) -> set[str]:
        return {n.name for line in self.lines for n in line.path.nodes if isinstance(n, MadeNode)}

    def _too_many(self, spot: Spot, at: str) -> bool:
        """Whether what begins at a place is not read, which is said there."""
        if len(self.problems) > MOST_MISTAKES:
            what = "the rows" if isinstance(spot, CellPlace) else "the circuits"
            told = f"correct these first; {what} from here on were not read"
            self.problems.append(problem_at(spot, at, told))
        return len(self.problems) > MOST_MISTAKES

    def _say_at(self, at: str, message: str, *, key: bool = False) -> None:
        place = (self.keys if key else self.values).get(at) or self.values.get("circuits") or (1, 1)
        self.problems.append(problem_at(place, at, message))

    def _sayer(self, line: Line) -> Callable[[int, str], None]:
        return lambda index, message: self.problems.append(
            problem_at(line.place(index), line.source, line.said + message)
        )

    def _read(self, name: str, text: Any) -> None:
        at = pointer("circuits", name)
        if not isinstance(text, PathText):
            said = without_braces(name, text)
            if text is not Refused:
                self._say_at(at, said, key=text is None)
            return
        if text.refused:
            self.unread |= text.words()
            return
        letter, _, plain = wire_numbers.letter_number_name(name)
        if not plain or "." in plain:
            said = (
                f"the name {shown(name)} of a circuit must have letters and no dot: parts are named after it"
            )
            self._say_at(at, said, key=True)
            return
        if not letter and wire_numbers.needs_letter(self._scheme) and not _made_by_assembly(self.keys[at]):
            said = f"circuit {name}: `wire-numbers` needs its letter and number before its name"
            self._say_at(at, f"{said}: `{plain[:1].upper()}1 {plain}: ...`", key=True)
        line = Line(name, at, f"circuit {name}: ", text.place, Path())
        say = self._sayer(line)
        if (hash_at := comment_in_block(text)) >= 0:
            say(hash_at, "in a block of text `#` begins no comment; put the comment above the circuit")
            self.unread |= text.words()
            return
        path = parse(text, self.declared, lambda index, message: say(index, cut_short(text, index, message)))
        if path.whole and (said := after_the_path(text)):
            say(len(text) - 1, said)
            path.whole = False
        if not path.whole:
            self.unread |= text.words() | may_be_made(plain)
        line.path = path
        self.lines.append(line)

    def _check_letter(self, line: Line) -> None:
        """A row whose wires have no letter and number, where they are numbered by them."""
        unlettered = not wire_numbers.letter_number_name(line.name)[0]
        if line.listed and line.wired and not line.undirected and unlettered:
            load = line.path.nodes[-2] if len(line.path.nodes) > 1 else None
            if wire_numbers.needs_letter(self._scheme) and load is not None:
                said = (
                    "`wire-numbers` needs the letter and number of its circuit; name a column for `circuit`"
                )
                self._sayer(line)(load.at, said)

    def _make_parts(self, line: Line) -> None:
        say, plain = self._sayer(line), line.plain
        labels: dict[str, int] = {}
        for node in line.path.nodes:
            if not isinstance(node, MadeNode):
                continue
            if node.name and (first := self._made_before(node.name)):
                other = (
                    "give one of the two another name"
                    if line.listed
                    else "write its name alone to pass through it, or give this one another name"
                )
                say(node.at, f"`{node.name}` is made {first} already; {other}")
                self.unread.repeated.add(node.name)
                node.kind = ""
                continue
            if node.kind == "load" and not line.listed and (near := misspelt(node.name, self.declared)):
                say(node.at, f"`{node.name}` would be a new load; there is `{near}` under `parts`. Write "
                    "that name alone; a load of this name goes under `parts` too")  # fmt: skip
                node.kind = ""
                continue
            node.name = node.name or self._free(f"{plain}-{node.kind}")
            label = node.label or Figure(label_of(node.kind, plain, labels), node.at)
            self._add_part(node, label, line)
            line.made[0].append(node.name)

    def _made_before(self, name: str) -> str:
        if name in self.declared:
            return "under `parts`"
        if name in self.parts:
            spot = self.values[pointer("parts", name)]
            return f"in {spot.words}" if isinstance(spot, CellPlace) else f"in line {spot[0]}"
        return ""

    def _free(self, name: str) -> str:
        """A name that no part has: with a number after it where it is taken."""
        number = self._auto.get(name, 0) + 1
        while (found := name if number == 1 else f"{name}-{number}") in self._taken:
            number += 1
        self._auto[name] = number
        return found

    def _add_part(self, node: MadeNode, label: Figure, line: Line) -> None:
        at = pointer("parts", node.name)
        part: Data = {"kind": node.kind}
        self._place(at, line.place(node.at))
        self._place(f"{at}/kind", line.place(node.at))
        if label.value:
            part["label"] = label.value
            self._place(f"{at}/label", line.place(label.at))
        if node.kind == "switch":
            positions = node.values.pop("positions", Figure(["off", "on"], node.at))
            part["positions"] = positions_of(positions.value)
            self._place(f"{at}/positions", line.place(positions.at))
        self._put(part, at, node.values, line)
        self.parts[node.name] = part

    def _put(self, into: Data, at: str, figures: Mapping[str, Figure], line: Line) -> None:
        for key, figure in figures.items():
            into[key] = figure.value
            self._place(f"{at}/{key}", line.place(figure.at))

    def _place(self, at: str, place: Spot) -> None:
        self.values[at] = self.keys[at] = place

    def _bolt_on(self, line: Line) -> None:
        """What a line plugs on a bus or bolts to a ground. Of a row of a table, protection that is not
        at a bus has a wire of unknown size, and what is made elsewhere is fed as is said there."""
        for i, join in enumerate(line.path.joins):
            left, right = line.path.nodes[i], line.path.nodes[i + 1]
            if join.plus and line.listed and isinstance(right, PlaceNode):
                self._plugged_there(left, right, line)
                continue
            if line.listed and join.plus:
                join.plus = self.terminals.kind_of(left) == "bus"
                if isinstance(right, MadeNode) and (left is None or left.name not in self.terminals.parts):
                    self.unread.add(right.name)  # its bus has a mistake: nobody knows what it is plugged on
            if join.plus and not join.gap:
                self._bolt(left, right, join, line)

    def _plugged_there(self, left: Node | None, right: PlaceNode, line: Line) -> None:
        bus = self.declared.get(right.name, {}).get("plugged-on")
        if left is not None and bus is not None and bus != left.name:
            said = f"`{right.name}` is plugged on `{bus}` under `parts`; write the same bus in both"
            self._sayer(line)(left.at, said)

    def _join_up(self, line: Line) -> None:
        path = line.path
        ends = self.terminals.ends_of(line, self._sayer(line))
        for i, join in enumerate(path.joins):
            if join.plus:
                continue
            values = {**path.common, **join.values}
            out, into = ends[i][1], ends[i + 1][0]
            numbered = self._number(line.name, values, (out, into))
            name = join.name or numbered
            if out and into:
                self._add_wire(line, name, join.at, values, (out, into), path.nodes[i : i + 2])
            else:
                self.unread.add(name)

    def _number(self, circuit: str, values: Mapping[str, Figure], ends: tuple[str, str]) -> str:
        """The number of the next wire; circuits of one letter and number go on counting."""
        letter, number, plain = wire_numbers.letter_number_name(circuit)
        same = letter, number, plain if "circuit" in self._scheme else ""
        count = self._counts[same] = self._counts.get(same, 0) + 1
        words = {
            "circuit": plain,
            "letter": letter,
            "number": number,
            "wire": str(count),
            "segment": wire_numbers.segment(count),
            "gauge": str(values["gauge"].value).rpartition(" ")[0] if "gauge" in values else "",
            "ground": "N" if any(map(self.terminals.is_ground, ends)) else "",
        }
        return wire_numbers.wire_number(self._scheme, words)

    def _add_wire(
        self,
        line: Line,
        name: str,
        index: int,
        values: Mapping[str, Figure],
        ends: tuple[str, str],
        nodes: Sequence[Node | None],
    ) -> None:
        at, place = pointer("wires", name), line.place(index)
        if name in self._given_wires or name in self.wires:
            first = self.keys.get(at, (0, 0))
            where = f"in {first.words}" if isinstance(first, CellPlace) else f"in line {first[0]}"
            said = f"wire `{name}` is made {where} already; give one of the two another name"
            self._sayer(line)(index, said)
            return
        self._place(at, place)
        for key, node in zip(("from", "to"), nodes, strict=True):
            self._place(f"{at}/{key}", line.place(node.at) if node else place)
        wire = self.wires[name] = {"from": ends[0], "to": ends[1]}
        self._put(wire, at, values, line)
        line.made[1].append(name)

    def _bolt(self, left: Node | None, right: Node | None, join: Join, line: Line) -> None:
        """``+``: protection plugged on a bus, or a case bolted to its ground."""
        if left is None or right is None or "" in (getattr(left, "kind", " "), getattr(right, "kind", " ")):
            return
        kind = self.terminals.kind_of(left)
        if isinstance(right, MadeNode) and right.kind in PROTECTORS and kind == "bus":
            self._set(right, "plugged-on", left.name, line)
        elif (
            isinstance(left, MadeNode)
            and "mounted-on" in self.terminals.keys_of(left.kind)
            and (self.terminals.kind_of(right) in OPEN)
        ):
            terminal = self.terminals.bolted(right, wire_numbers.letter_number_name(left.name)[2])
            self._set(left, "mounted-on", terminal, line)
        elif (
            isinstance(right, PlaceNode) and self.declared.get(right.name, {}).get("plugged-on") == left.name
        ):
            pass  # says once more what the part says
        elif kind is not None and self.terminals.kind_of(right) is not None:
            said = (
                "` + ` is for a breaker, fuse or limiter after the bus that it is plugged on, and for a load"
            )
            between = f"between `{left.name}` and `{right.name}` write ` > ` with a wire"
            if (
                isinstance(left, MadeNode)
                and left.kind in PROTECTORS
                and self.terminals.kind_of(right) == "bus"
            ):
                between += f", or begin the path at the bus: `{right.name} + {left.kind} ...`"
            declared = self.declared.get(right.name)
            if kind == "bus" and isinstance(declared, dict) and declared.get("kind") in PROTECTORS:
                between += f"; or, plugged on the bus, `plugged-on: {left.name}` at it under `parts`"
            self._sayer(line)(join.at, f"{said} before what its case is bolted to; {between}")

    def _set(self, node: MadeNode, key: str, value: str, line: Line) -> None:
        if node.kind and node.name in self.parts:
            self.parts[node.name][key] = value
            self._place(f"{pointer('parts', node.name)}/{key}", line.place(node.at))


def lowered(
    data: Data, values: Places, keys: Places, problems: list[Problem], unread: UnreadNames, rows: Rows
) -> Data:
    """The data of a file with its circuits and the ``rows`` of its tables as parts and wires.

    ``values`` and ``keys`` take the places of what is made, ``problems`` the mistakes, ``unread`` the
    words of paths with a mistake: a name among them may be that of a part which is not made, so that
    its absence is no second mistake.
    """
    found = Lowered(data, values, keys, problems, unread, rows)
    left = {k: v for k, v in data.items() if k not in ("circuits", "tables", "wire-numbers")}
    for key, made in (("parts", found.parts), ("wires", found.wires)):
        if isinstance(data.get(key, {}), dict):
            left[key] = {**data.get(key, {}), **made}
    return left


def _made_by_assembly(place: tuple[int, int]) -> bool:
    """Whether a circuit is of an assembly, whose call has the letter and number."""
    return isinstance(place[0], InstalledLine)


def _group(data: Data, key: str) -> Data:
    group = data.get(key)
    return group if isinstance(group, dict) else {}
