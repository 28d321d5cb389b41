"""The terminals at which the wires of a path begin and end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from typing import Any

from pydantic import ValidationError

from reviewer.model.parts import PART_KINDS
from reviewer.reading.circuits.kinds_in_line import CONSUMERS, OPEN, PROTECTORS, THROUGH, vocabulary
from reviewer.reading.circuits.line import Line
from reviewer.reading.circuits.path_nodes import MadeNode, Node, Path, PlaceNode
from reviewer.reading.problem import nearest

Say = Callable[[int, str], None]
#: terminals of a node by which a path comes in and goes out, as ``part.terminal``; empty for none
Ends = tuple[str, str]
_NO_ENDS = ("", "")
#: names that are as near as this are a slip of one or two letters
_SLIP = 0.8
#: how a list marks the poles of a part -> the terminals that may be meant
_POLES = {"+": ("positive", "supply", "output"), "-": ("negative", "return", "ground")}
#: kinds that a path does not go through: one terminal of them is a post for two wires
_POSTS = (*OPEN, "battery", "external-power", "alternator", "charger", "converter")


class Terminals:
    """The terminals of all ``parts`` as plain data, and which of them the ``wires`` of the long form
    and the ``paths`` name; ``unread`` are words of paths with a mistake, which may be names."""

    def __init__(
        self,
        parts: Mapping[str, Any],
        wires: Mapping[str, Any],
        paths: Iterable[Path],
        unread: Collection[str],
    ):
        self.parts, self.unread = parts, unread
        paths = list(paths)
        #: in how many paths each place stands
        self._places = Counter(name for path in paths for name in _place_names(path))
        #: the terminals by which each is named, and whether a path goes on or begins there
        self._named: dict[str, set[str]] = {}
        self._goes_on: set[str] = set()
        for path in paths:
            for i, node in enumerate(path.nodes):
                if isinstance(node, PlaceNode):
                    self._named.setdefault(node.name, set()).update(t for t in node.terminals.split("/") if t)
                    if i < len(path.nodes) - 1:
                        self._goes_on.add(node.name)
        self._owned: dict[tuple[str, bool], tuple[str, ...]] = {}
        self._last: dict[tuple[str, str], int] = {}
        self._missing: set[str] = set()
        #: parts that paths name and that are not there, of which that was said
        self.absent: set[str] = set()
        self._used = {
            w[end]
            for w in wires.values()
            if isinstance(w, dict)
            for end in ("from", "to")
            if isinstance(w.get(end), str)
        }
        self._used |= {
            p["mounted-on"]
            for p in parts.values()
            if isinstance(p, dict) and isinstance(p.get("mounted-on"), str)
        }
        self._used |= {
            f"{n.name}.{t}"
            for p in paths
            for n in p.nodes
            if isinstance(n, PlaceNode)
            for t in n.terminals.split("/")
        }

    def kind_of(self, node: Node | None) -> str | None:
        """The kind of the part of a node; None where there is none."""
        part = self.parts.get(node.name) if node else None
        kind = part.get("kind") if isinstance(part, dict) else None
        return kind if isinstance(kind, str) and kind in PART_KINDS else None

    def keys_of(self, kind: str) -> Mapping[str, str]:
        """The keys that a kind has in a path."""
        return vocabulary(kind).keys if kind in PART_KINDS else {}

    def is_ground(self, terminal: str) -> bool:
        """Whether a terminal is at a ground block, the airframe or the negative of a source."""
        name, _, own = terminal.partition(".")
        part = self.parts.get(name)
        kind = part.get("kind") if isinstance(part, dict) else None
        return own == "negative" or (isinstance(kind, str) and kind in ("ground-block", "airframe"))

    def ends_of(self, line: Line, say: Say) -> list[Ends]:
        """The ends of each node of a line; ``say`` takes what is wrong with them."""
        path, circuit = line.path, line.plain
        if line.undirected:
            return [self._end(node, circuit, say) for node in path.nodes]
        last = len(path.nodes) - 1
        found = []
        for i, node in enumerate(path.nodes):
            wired_in = i > 0 and not path.joins[i - 1].plus
            wired_out = i < last and i < len(path.joins) and not path.joins[i].plus
            if node is None or (isinstance(node, MadeNode) and not node.kind):
                found.append(_NO_ENDS)
                continue
            if self._absent(node, line.listed, say):
                found.append(_NO_ENDS)
                continue
            if path.whole and (said := self._no_end(node, i == 0, i == last)):
                say(node.at, said)
            found.append(self._ends(node, wired_in, wired_out, circuit, say))
        return found

    def check(self, line: Line, say: Say) -> None:
        """Whether the places of a line without wires are there; ``say`` takes what is wrong."""
        for node in line.path.nodes:
            if node is not None and (not isinstance(node, MadeNode) or node.kind):
                self._absent(node, line.listed, say)

    def _absent(self, node: Node, listed: bool, say: Say) -> bool:
        """Whether a node has no part of a known kind, which is said unless it was said before."""
        if self.kind_of(node) is not None:
            return False
        if isinstance(node, PlaceNode) and node.name not in self.parts and node.name not in self.unread:
            if not listed and self._places[node.name] > 1:
                if node.name not in self._missing:
                    say(node.at, self._never_made(node.name))
                self._missing.add(node.name)
            else:
                say(node.at, self._not_there(node) if listed else self._unknown(node))
            self.absent.add(node.name)
        return True

    def _never_made(self, name: str) -> str:
        """What is said once of a place where several circuits end: it is missing, unless it is a slip."""
        from difflib import get_close_matches

        if get_close_matches(name, self.parts, 1, _SLIP):
            return f"there is no part `{name}`{nearest(name, self.parts)}"
        said = f"there is no part `{name}`, where {self._places[name]} circuits lead"
        return f"{said}; write it under `parts`, for example `{name}: {{kind: {self._likely(name)}}}`"

    def _likely(self, name: str) -> str:
        """The kind that a missing part may have: by its terminals, else by whether all paths end there."""
        named = self._named.get(name, set())
        for kind in PART_KINDS if named else ():
            try:
                own = PART_KINDS[kind].model_validate({"kind": kind}).terminals()
            except ValidationError:
                continue  # one that needs more than its kind
            if named <= set(own):
                return kind
        if any(terminal.startswith(("supply", "return")) or terminal.endswith("-in") for terminal in named):
            return "instrument"
        return "bus" if name in self._goes_on or named else "ground-block"

    def _end(self, node: Node | None, circuit: str, say: Say) -> Ends:
        """The terminal at one end of a wire of which nobody knows its direction."""
        if not isinstance(node, PlaceNode) or self._absent(node, True, say):
            return _NO_ENDS
        kind, written = self.kind_of(node) or "", node.terminals
        own = () if kind in OPEN or (written and written not in _POLES) else self._own(node.name)
        if poles := _POLES.get(written):
            own = tuple(t for t in own if t in poles) or own
            written = ""
        if "plugged-on" in self.parts[node.name]:
            own = tuple(t for t in own if t != "line")
        if len(own) > 1:
            if node.name not in self.unread:
                say(node.at, self._which(node.name, kind, False))
            return _NO_ENDS
        if own:
            return f"{node.name}.{own[0]}", f"{node.name}.{own[0]}"
        if not written:
            fresh = self._fresh(node.name, circuit)
            return fresh, fresh
        if said := self._no_terminal(node.name, kind, written):
            say(node.at, said)
            return _NO_ENDS
        return f"{node.name}.{written}", f"{node.name}.{written}"

    def _no_end(self, node: Node, first: bool, last: bool) -> str:
        """Why a path does not begin or end at a node."""
        if not (first or last) or isinstance(node, PlaceNode) or not node.kind or node.kind in OPEN:
            return ""
        if first and last:
            return f"`{node.name}` alone is not a path; continue with ` > ` to what it joins"
        if first:
            return (
                f"a path begins at a bus or source, such as `main-bus`, not at the {node.kind} `{node.name}`"
            )
        if node.kind in CONSUMERS and "mounted-on" in node.values:
            return ""
        said = f"the path stops at the {node.kind} `{node.name}`; continue with ` > `"
        if node.kind in CONSUMERS:
            return f"{said} to its ground, or write `mounted-on` with its case ground in the brackets"
        if node.kind in PROTECTORS:
            bus = self.parts[node.name].get("plugged-on")
            on = f", plugged-on: {bus}" if bus else ""
            spare = f"`{node.name}: {{kind: {node.kind}{on}, unused: [load]}}`"
            return f"{said} to what it feeds, or write a spare one under `parts`: {spare}"
        return f"{said} to {'its return' if node.kind == 'sensor' else 'what it feeds'}"

    def _ends(self, node: Node, wired_in: bool, wired_out: bool, circuit: str, say: Say) -> Ends:
        kind = self.kind_of(node) or ""
        written = node.terminals if isinstance(node, PlaceNode) else ""
        if written:
            into, out = self._written(node.name, written)
            if wired_in and wired_out and into == out and "/" not in written and kind not in _POSTS:
                say(node.at, _one_terminal(node.name, written))
                return _NO_ENDS
            for end in dict.fromkeys((into, out)):
                if said := self._no_terminal(node.name, kind, end.partition(".")[2]):
                    say(node.at, said)
                    return _NO_ENDS
            return into, out
        if not (wired_in or wired_out):
            return _NO_ENDS
        if kind in OPEN:
            into = self._fresh(node.name, circuit) if wired_in else ""
            return into, self._fresh(node.name, circuit) if wired_out else ""
        into, out = self._through(node.name, kind)
        if (wired_in and not into) or (wired_out and not out):
            say(node.at, self._which(node.name, kind, wired_in and wired_out))
            return _NO_ENDS
        return f"{node.name}.{into}" if into else "", f"{node.name}.{out}" if out else ""

    def _written(self, name: str, written: str) -> Ends:
        into, slash, out = written.partition("/")
        if not slash or written in self._own(name):
            return f"{name}.{written}", f"{name}.{written}"
        return f"{name}.{into}", f"{name}.{out}"

    def _no_terminal(self, name: str, kind: str, terminal: str) -> str:
        own = () if kind in OPEN or "plugged-on" in self.parts[name] else self._own(name)
        if not own or terminal in (*own, *PART_KINDS[kind].spare):
            return ""
        return f"{name} has no terminal `{terminal}`{nearest(terminal, own)}; it has {', '.join(own)}"

    def bolted(self, node: Node, circuit: str) -> str:
        """The terminal to which a case is bolted."""
        if isinstance(node, PlaceNode) and node.terminals:
            return f"{node.name}.{node.terminals}"
        return self._fresh(node.name, circuit)

    def _fresh(self, part: str, circuit: str) -> str:
        number = self._last.get((part, circuit), 0) + 1
        while (found := f"{part}.{circuit}" if number == 1 else f"{part}.{circuit}-{number}") in self._used:
            number += 1
        self._last[part, circuit] = number
        self._used.add(found)
        return found

    def _through(self, name: str, kind: str) -> Ends:
        """The terminals of a part by which a path comes in and goes out; empty where it has several."""
        part = self.parts[name]
        if kind in CONSUMERS:
            into, out = (
                part.get(key, [word]) for key, word in (("supplies", "supply"), ("returns", "return"))
            )
            return _only(into), _only(out)
        if kind == "switch":
            own = [t for t in self._own(name) if t != part.get("ground")]
            return (own[0], own[1]) if len(own) == 2 else _NO_ENDS
        return THROUGH.get(kind, _NO_ENDS)

    def _own(self, name: str) -> tuple[str, ...]:
        """The terminals of a part by itself; none where a mistake leaves them unknown."""
        part = self.parts[name]
        known = name, "plugged-on" in part
        if known not in self._owned:
            try:
                self._owned[known] = PART_KINDS[part["kind"]].model_validate(part).terminals()
            except ValidationError:
                self._owned[known] = ()
        return self._owned[known]

    def _which(self, name: str, kind: str, through: bool) -> str:
        own, part = self._own(name), self.parts[name]
        has = f" It has {', '.join(own)};" if own else " "
        pair = own[:2] if kind not in CONSUMERS else (*own[:1], *part.get("returns", ["return"])[:1])
        example = (
            f"`{name}.{'/'.join(pair)}`, in and out"
            if through and len(own) > 1
            else f"`{name}.{own[0] if own else 'TERMINAL'}`"
        )
        return f"at which terminal of the {kind} `{name}`?{has} write for example {example}"

    def _not_there(self, node: PlaceNode) -> str:
        near = nearest(node.name, self.parts)
        say = f"`words: {{{node.name}: NAME}}` at the table says what it stands for here"
        return f"there is no part `{node.name}`{near}; write it under `parts`, or {say}"

    def _unknown(self, node: PlaceNode) -> str:
        said = f"there is no part `{node.name}`"
        if node.name in PART_KINDS and node.terminals:
            through = f"`{node.name}-1: {{kind: {node.name}}}`"
            return (
                f"`{node.name}` is a kind; terminals are of a part: write {through} under `parts`, and here "
                f"`{node.name}-1.{node.terminals}`"
            )
        if "+" in node.name:
            return f"{said}; a ` + ` has a space before and after it"
        if node.name[:1].isdigit():
            return f"{said}; a wire goes between two ` > `, a part has its kind before its figures"
        if near := nearest(node.name, self.parts):
            return f"{said}{near}"
        return (
            f"{said}; brackets make a load of a new name, `{node.name} (1 A)`, and a kind makes another part"
        )


def _place_names(path: Path) -> set[str]:
    return {node.name for node in path.nodes if isinstance(node, PlaceNode)}


def _one_terminal(name: str, terminal: str) -> str:
    said = f"does the path go through `{name}`, or are two wires on its {terminal}?"
    through = f"`{name}.{terminal}/OUT` with the terminal where it goes out"
    return f"{said} Write {through}, or `{name}.{terminal}/{terminal}`"


def _only(names: Any) -> str:
    return names[0] if isinstance(names, list) and len(names) == 1 and isinstance(names[0], str) else ""
