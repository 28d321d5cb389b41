"""Circuits -> the parts and wires that they stand for, as plain data with places."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from reviewer.reading.assemblies.origin import InstalledLine
from reviewer.reading.circuits import wire_numbers
from reviewer.reading.circuits.figures import Figure
from reviewer.reading.circuits.grammar import parse
from reviewer.reading.circuits.kinds_in_line import OPEN, PROTECTORS
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
from reviewer.reading.problem import Problem, shown
from reviewer.reading.unread_names import UnreadNames
from reviewer.reading.yaml_events import Places, Refused, pointer

Data = dict[str, Any]
#: with more mistakes than these the circuits after them are not read
MOST_MISTAKES = 100


class Lowered:
    """The circuits of a file. ``parts`` and ``wires`` are what they make; ``by_circuit`` has for each
    circuit the names of its parts and of its wires; ``unread`` takes the words of paths with a mistake."""

    def __init__(
        self, data: Data, values: Places, keys: Places, problems: list[Problem], unread: UnreadNames
    ):
        self.values, self.keys, self.problems = values, keys, problems
        self.declared: Data = _group(data, "parts")
        self.parts: Data = {}
        self.wires: Data = {}
        self.by_circuit: dict[str, tuple[list[str], list[str]]] = {}
        self._given_wires = _group(data, "wires")
        self._scheme, wrong = wire_numbers.scheme_of(data.get("wire-numbers", wire_numbers.PLAIN))
        if wrong:
            self._say_at("wire-numbers", wrong)
        self._auto: dict[str, int] = {}
        self._counts: dict[tuple[str, str, str], int] = {}
        written = data["circuits"]
        if not isinstance(written, dict):
            if written is not Refused:
                said = f"expected paths by the name of their circuit, found {shown(written)}"
                self._say_at("circuits", said + without_blank(written))
            written = {}
        self.unread = unread
        self._paths: dict[str, tuple[PathText, Path]] = {}
        cut = False
        for name, text in written.items():
            if text is None and cut:  # the rest of a path that a comma has cut
                self.unread |= set(name.split())
                continue
            cut = isinstance(text, PathText) and cut_by_comma(text)
            if self._too_many(name):
                break
            self._read(name, text)
        paths = [path for _, path in self._paths.values()]
        self._taken = {*self.declared, *(n.name for p in paths for n in p.nodes if isinstance(n, MadeNode))}
        for name, (text, path) in self._paths.items():
            self._make_parts(name, text, path)
        self.terminals = Terminals({**self.declared, **self.parts}, self._given_wires, paths, self.unread)
        for name, (text, path) in self._paths.items():
            if self._too_many(name):
                break
            self._join_up(name, text, path)

    def _too_many(self, name: str) -> bool:
        """Whether the circuits from this one on are not read, which is said at it."""
        if len(self.problems) > MOST_MISTAKES:
            told = "correct these first; the circuits from here on were not read"
            self._say_at(pointer("circuits", name), told, key=True)
        return len(self.problems) > MOST_MISTAKES

    def _say_at(self, at: str, message: str, *, key: bool = False) -> None:
        place = (self.keys if key else self.values).get(at) or self.values.get("circuits") or (1, 1)
        self.problems.append(Problem(*place, at, message))

    def _sayer(self, name: str, text: PathText) -> Callable[[int, str], None]:
        at, said = pointer("circuits", name), f"circuit {name}: "
        return lambda index, message: self.problems.append(Problem(*text.place(index), at, said + message))

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
        say = self._sayer(name, text)
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
        self._paths[name] = text, path

    def _make_parts(self, circuit: str, text: PathText, path: Path) -> None:
        say, plain = self._sayer(circuit, text), wire_numbers.letter_number_name(circuit)[2]
        made: list[str] = []
        labels: dict[str, int] = {}
        for node in path.nodes:
            if not isinstance(node, MadeNode):
                continue
            if node.name and (first := self._made_before(node.name)):
                say(node.at, f"`{node.name}` is made {first} already; write its name alone to pass "
                    "through it, or give this one another name")  # fmt: skip
                node.kind = ""
                continue
            if node.kind == "load" and (near := misspelt(node.name, self.declared)):
                say(node.at, f"`{node.name}` would be a new load; there is `{near}` under `parts`. Write "
                    "that name alone; a load of this name goes under `parts` too")  # fmt: skip
                node.kind = ""
                continue
            node.name = node.name or self._free(f"{plain}-{node.kind}")
            label = node.label or Figure(label_of(node.kind, plain, labels), node.at)
            self._add_part(node, label, text)
            made.append(node.name)
        self.by_circuit[circuit] = made, []

    def _made_before(self, name: str) -> str:
        if name in self.declared:
            return "under `parts`"
        if name in self.parts:
            return f"in line {self.values[pointer('parts', name)][0]}"
        return ""

    def _free(self, name: str) -> str:
        """A name that no part has: with a number after it where it is taken."""
        number = self._auto.get(name, 0) + 1
        while (found := name if number == 1 else f"{name}-{number}") in self._taken:
            number += 1
        self._auto[name] = number
        return found

    def _add_part(self, node: MadeNode, label: Figure, text: PathText) -> None:
        at = pointer("parts", node.name)
        part: Data = {"kind": node.kind}
        self._place(at, text.place(node.at))
        self._place(f"{at}/kind", text.place(node.at))
        if label.value:
            part["label"] = label.value
            self._place(f"{at}/label", text.place(label.at))
        if node.kind == "switch":
            positions = node.values.pop("positions", Figure(["off", "on"], node.at))
            part["positions"] = positions_of(positions.value)
            self._place(f"{at}/positions", text.place(positions.at))
        self._put(part, at, node.values, text)
        self.parts[node.name] = part

    def _put(self, into: Data, at: str, figures: Mapping[str, Figure], text: PathText) -> None:
        for key, figure in figures.items():
            into[key] = figure.value
            self._place(f"{at}/{key}", text.place(figure.at))

    def _place(self, at: str, place: tuple[int, int]) -> None:
        self.values[at] = self.keys[at] = place

    def _join_up(self, circuit: str, text: PathText, path: Path) -> None:
        say = self._sayer(circuit, text)
        plain = wire_numbers.letter_number_name(circuit)[2]
        ends = self.terminals.ends_of(path, plain, say)
        for i, join in enumerate(path.joins):
            left, right = path.nodes[i], path.nodes[i + 1]
            if join.plus:
                self._bolt(left, right, join, text, say)
                continue
            values = {**path.common, **join.values}
            out, into = ends[i][1], ends[i + 1][0]
            numbered = self._number(circuit, values, (out, into))
            name = join.name or numbered
            if out and into:
                self._add_wire(circuit, name, join.at, values, (out, into), (left, right), text)
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
        circuit: str,
        name: str,
        index: int,
        values: Mapping[str, Figure],
        ends: tuple[str, str],
        nodes: tuple[Node | None, Node | None],
        text: PathText,
    ) -> None:
        at, place = pointer("wires", name), text.place(index)
        if name in self._given_wires or name in self.wires:
            first = self.keys.get(at, (0, 0))[0]
            said = f"wire `{name}` is made in line {first} already; give one of the two another name"
            self._sayer(circuit, text)(index, said)
            return
        self._place(at, place)
        for key, node in zip(("from", "to"), nodes, strict=True):
            self._place(f"{at}/{key}", text.place(node.at) if node else place)
        wire = self.wires[name] = {"from": ends[0], "to": ends[1]}
        self._put(wire, at, values, text)
        self.by_circuit[circuit][1].append(name)

    def _bolt(
        self,
        left: Node | None,
        right: Node | None,
        join: Join,
        text: PathText,
        say: Callable[[int, str], None],
    ) -> None:
        """``+``: protection plugged on a bus, or a case bolted to its ground."""
        if left is None or right is None or "" in (getattr(left, "kind", " "), getattr(right, "kind", " ")):
            return
        kind = self.terminals.kind_of(left)
        if isinstance(right, MadeNode) and right.kind in PROTECTORS and kind == "bus":
            self._set(right, "plugged-on", left.name, text)
        elif (
            isinstance(left, MadeNode)
            and "mounted-on" in self.terminals.keys_of(left.kind)
            and (self.terminals.kind_of(right) in OPEN)
        ):
            terminal = self.terminals.bolted(right, wire_numbers.letter_number_name(left.name)[2])
            self._set(left, "mounted-on", terminal, text)
        elif (
            isinstance(right, PlaceNode) and self.declared.get(right.name, {}).get("plugged-on") == left.name
        ):
            pass  # says once more what the part says
        elif kind is not None and self.terminals.kind_of(right) is not None:
            said = (
                "` + ` is for a breaker, fuse or limiter after the bus that it is plugged on, and for a load"
            )
            between = f"between `{left.name}` and `{right.name}` write ` > ` with a wire"
            say(join.at, f"{said} before what its case is bolted to; {between}")

    def _set(self, node: MadeNode, key: str, value: str, text: PathText) -> None:
        if node.kind and node.name in self.parts:
            self.parts[node.name][key] = value
            self._place(f"{pointer('parts', node.name)}/{key}", text.place(node.at))


def lowered(data: Data, values: Places, keys: Places, problems: list[Problem], unread: UnreadNames) -> Data:
    """The data of a file with its circuits as parts and wires.

    ``values`` and ``keys`` take the places of what is made, ``problems`` the mistakes, ``unread`` the
    words of paths with a mistake: a name among them may be that of a part which is not made, so that
    its absence is no second mistake.
    """
    found = Lowered(data, values, keys, problems, unread)
    left = {k: v for k, v in data.items() if k not in ("circuits", "wire-numbers")}
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
