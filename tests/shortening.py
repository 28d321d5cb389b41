"""A design as plain data in the short form: its wires as paths, and in them the parts that a path can make."""

from __future__ import annotations

from random import Random
from typing import Any

from reviewer.model.quantities import UNITS
from reviewer.reading.circuits.kinds_in_line import (
    IN_LINE,
    MEANT,
    OPEN,
    PROTECTORS,
    THROUGH,
    WIRE,
    vocabulary,
)

Data = dict[str, Any]
_UNITS = {unit: dimension for dimension, units in reversed(UNITS.items()) for unit in units}


def shortened(data: Data, draw: Random, most: float = 1.0) -> Data:
    """The same design with its wires, or a share of them, as circuits; what a path cannot say stays as it is."""
    parts, wires = data.get("parts"), data.get("wires")
    if not isinstance(parts, dict) or not isinstance(wires, dict):
        return data
    short = _Shortener(parts, wires, draw, most)
    short.all()
    left = {k: v for k, v in data.items() if k not in ("parts", "wires")}
    left["circuits"] = short.circuits
    left["parts"] = {n: p for n, p in parts.items() if n not in short.made}
    left["wires"] = {n: w for n, w in wires.items() if n not in short.taken}
    return left


class _Shortener:
    def __init__(self, parts: Data, wires: Data, draw: Random, most: float):
        self.parts, self.wires, self.draw = parts, wires, draw
        self.made: set[str] = set()
        self.circuits: dict[str, str] = {}
        able = [n for n, w in wires.items() if self._can_be_said(n, w) and draw.random() < most]
        self.able = dict.fromkeys(able)
        self.taken: set[str] = set()
        self.leaving: dict[str, list[str]] = {}
        self.arriving: dict[str, list[str]] = {}
        for name in self.able:
            self.leaving.setdefault(wires[name]["from"], []).append(name)
            self.arriving.setdefault(wires[name]["to"], []).append(name)

    def all(self) -> None:
        for name in self.able:
            if name not in self.taken:
                self.taken.add(name)
                chain = [name]
                while after := self._free(self.leaving, self._through(self.wires[chain[-1]]["to"], 0)):
                    chain.append(after)
                while before := self._free(self.arriving, self._through(self.wires[chain[0]]["from"], 1)):
                    chain.insert(0, before)
                self.circuits[f"c{len(self.circuits) + 1}"] = self._path(chain)

    def _free(self, ends: dict[str, list[str]], terminal: str) -> str:
        found = next((n for n in ends.get(terminal, ()) if n not in self.taken), "")
        self.taken |= {found} if found else set()
        return found

    def _through(self, terminal: str, side: int) -> str:
        """The terminal on the other side of a part that a path goes through."""
        name, _, own = terminal.partition(".")
        ends = self._ends(name)
        return f"{name}.{ends[1 - side]}" if ends and ends[side] == own else terminal

    def _ends(self, name: str) -> tuple[str, str] | None:
        part = self.parts[name]
        kind = part["kind"]
        if kind in ("load", "instrument"):
            into, out = part.get("supplies", ["supply"]), part.get("returns", ["return"])
            return (into[0], out[0]) if len(into) == len(out) == 1 else None
        if kind == "switch":
            pairs = [pair for pairs in part["positions"].values() for pair in pairs]
            own = list(dict.fromkeys(t for pair in pairs for t in pair))
            return (own[0], own[1]) if len(own) == 2 else None
        return THROUGH.get(kind)

    def _path(self, chain: list[str]) -> str:
        first = self.wires[chain[0]]["from"]
        name, _, own = first.partition(".")
        part = self.parts[name]
        if part["kind"] in PROTECTORS and own == "load" and "plugged-on" in part and self._makeable(name):
            text = f"{_quoted(part['plugged-on'])} + {self._make(name)}"
        else:
            text = _place(first)
        for i, wire in enumerate(chain):
            text += f" > {self._wire(wire)} > "
            into = self.wires[wire]["to"]
            out = self.wires[chain[i + 1]]["from"] if i + 1 < len(chain) else into
            name = into.partition(".")[0]
            if out == into:
                returns = (
                    self.parts[name]["kind"] in ("load", "instrument") and "mounted-on" in self.parts[name]
                )
                last = (
                    i + 1 == len(chain)
                    and returns
                    and (self._ends(name) or ("",))[0] == into.partition(".")[2]
                )
                post = i + 1 < len(chain) and self.parts[name]["kind"] not in (*OPEN, "battery")
                twice = f'/"{into.partition(".")[2]}"' if post else ""
                text += self._make(name) if last and self._makeable(name) else _place(into) + twice
            elif self._makeable(name):
                text += self._make(name)
            else:
                text += (
                    _place(into) + "/" + out.partition(".")[2] if self.draw.random() < 0.5 else _quoted(name)
                )
        return text

    def _makeable(self, name: str) -> bool:
        part = self.parts[name]
        kind = part["kind"]
        if (
            name in self.made
            or kind not in IN_LINE
            or kind in OPEN
            or _unsayable(name)
            or self._ends(name) != self._plain_ends(name)
        ):
            return False
        positions = part.get("positions")
        if kind == "switch" and not (
            len(positions) == 2
            and list(positions.values()) == [[], [["line", "load"]]]
            and not any("/" in p or _unsayable(p) for p in positions)
        ):
            return False
        if "plugged-on" in part and any(w.get("to") == f"{name}.line" for w in self.wires.values()):
            return False
        keys = vocabulary(kind).keys
        return all(
            self._sayable(k, v, keys) for k, v in part.items() if k not in ("kind", "positions", "plugged-on")
        )

    def _plain_ends(self, name: str) -> tuple[str, str] | None:
        kind = self.parts[name]["kind"]
        return self._ends(name) if kind in ("load", "instrument") else THROUGH.get(kind)

    def _sayable(self, key: str, value: Any, keys: Any) -> bool:
        if keys.get(key, "group") == "group" or isinstance(value, dict) or value is None:
            return False
        if keys[key] == "list":
            return (
                isinstance(value, list)
                and bool(value)
                and all(isinstance(v, str) and not _unsayable(v) for v in value)
            )
        return not isinstance(value, list) and not _unsayable(str(value))

    def _can_be_said(self, name: str, wire: Any) -> bool:
        if not isinstance(wire, dict) or _unsayable(name):
            return False
        keys = vocabulary(WIRE).keys
        for end in ("from", "to"):
            ref = wire.get(end)
            if not isinstance(ref, str) or _unsayable(ref) or "/" in ref or ref.count(".") != 1:
                return False
            if (
                not isinstance(self.parts.get(ref.partition(".")[0]), dict)
                or self.parts[ref.partition(".")[0]].get("kind") is None
            ):
                return False
        return all(self._sayable(k, v, keys) for k, v in wire.items() if k not in ("from", "to"))

    def _wire(self, name: str) -> str:
        wire = {k: v for k, v in self.wires[name].items() if k not in ("from", "to")}
        plain = (
            name.isalnum()
            and name[0].isalpha()
            and name not in (*self.parts, WIRE, *IN_LINE)
            and "gauge" in wire
        )
        head = (
            name
            if plain and name not in vocabulary(WIRE).words and name not in vocabulary(WIRE).keys
            else f"wire {_quoted(name, always=True)}"
        )
        words = [head, *(wire.pop(k) for k in ("gauge", "length") if k in wire and isinstance(wire[k], str))]
        items = [self._item(WIRE, k, v) for k, v in wire.items()]
        return " ".join(words) + (f" ({', '.join(items)})" if items else "")

    def _make(self, name: str) -> str:
        part = dict(self.parts[name])
        self.made.add(name)
        kind, label = part.pop("kind"), part.pop("label", "")
        part.pop("plugged-on", None)
        words = [kind]
        bare = kind == "load" and not label and self.draw.random() < 0.5
        if bare:
            words = [_quoted(name)]
        elif kind in (*PROTECTORS, "switch") or label:
            words.append(
                _quoted(label, always=not label or not label[0].isupper() or self.draw.random() < 0.5)
            )
        if not bare:
            words += ["as", _quoted(name)]
        items = [self._item(kind, k, v) for k, v in part.items() if k != "positions"]
        if kind == "switch":
            items.append("positions " + "/".join(_quoted(p) for p in part["positions"]))
        return " ".join(words) + (f" ({', '.join(items)})" if items or bare else "")

    def _item(self, kind: str, key: str, value: Any) -> str:
        if isinstance(value, list):
            return f"{key} {' '.join(_quoted(v, always=True) for v in value)}"
        if isinstance(value, bool):
            return key if value and self.draw.random() < 0.5 else f"{key} {str(value).lower()}"
        if isinstance(value, str) and self.draw.random() < 0.7:
            number, _, unit = value.partition(" ")
            if number.replace(".", "", 1).isdigit() and unit in _UNITS:
                return value if MEANT.get(kind, {}).get(_UNITS[unit]) == key else f"{key} {value}"
            if vocabulary(kind).words.get(value) == (key, value):
                return value
        return f"{key} {_quoted(str(value), always=isinstance(value, str))}"


def _unsayable(text: str) -> bool:
    """Whether a path cannot say a text even in quotes."""
    return not text or '"' in text or not text.isprintable() or text != text.strip() or len(text) > 1000


def _quoted(text: str, always: bool = False) -> str:
    plain = (
        text.replace("-", "").replace("_", "").isalnum()
        and text[0].isalpha()
        and text not in IN_LINE
        and not always
    )
    return text if plain and text not in ("as", "wire", "wires", "to") else f'"{text}"'


def _place(ref: str) -> str:
    name, _, terminal = ref.partition(".")
    return f"{_quoted(name)}.{_quoted(terminal)}"
