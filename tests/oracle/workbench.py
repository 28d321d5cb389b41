"""Parts and wires put together one after another, and read as a design by the same door as a file."""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from random import Random
from typing import Any

from reviewer.model.design import Design
from reviewer.reading import read_text

#: adds figures to a file in the making
Dress = Callable[[dict[str, Any]], None]


class Workbench:
    """A design in the making. Parts are added by :meth:`add`, joined by :meth:`wire`, and read by :meth:`design`."""

    def __init__(self, chance: Random, airframe: str):
        self.chance, self.airframe = chance, airframe
        self.parts: dict[str, dict[str, Any]] = {}
        self.wires: dict[str, dict[str, Any]] = {}
        self.functions: dict[str, dict[str, Any]] = {}
        self.states: dict[str, dict[str, Any]] = {}
        self.used: dict[str, int] = {}

    def add(self, name: str, kind: str, **fields: Any) -> str:
        """Add a part; gives its name. Underscores of field names stand for hyphens."""
        if name in self.parts:
            raise ValueError(f"there is a part {name} already")
        self.parts[name] = {"kind": kind, **{key.replace("_", "-"): value for key, value in fields.items()}}
        return name

    def tab(self, bar: str) -> str:
        """A fresh terminal of a bar."""
        self.used[bar] = self.used.get(bar, 0) + 1
        return f"{bar}.{self.used[bar]}"

    def wire(self, one: str, other: str, bundle: str = "", shield: Sequence[str] = ()) -> None:
        """Join two terminals; the name of a bar stands for a fresh terminal of it."""
        one, other = (place if "." in place else self.tab(place) for place in (one, other))
        made: dict[str, Any] = {"from": one, "to": other}
        if bundle:
            made["bundle"] = bundle
        if shield:
            made["shield"] = list(shield)
        self.wires[f"W{len(self.wires) + 1}"] = made

    def run(self, start: str, chain: Sequence[tuple[str, str]], end: str, bundle: str = "") -> None:
        """Wire a chain: from ``start`` into and out of each pair of terminals, then to ``end``."""
        at = start
        for into, out in chain:
            self.wire(at, into, bundle)
            at = out
        self.wire(at, end, bundle)

    def protector(self, name: str, kind: str = "breaker") -> tuple[str, str]:
        """Add a protector; gives its two terminals, ready for :meth:`run`."""
        self.add(name, kind)
        return f"{name}.line", f"{name}.load"

    def switch(self, name: str) -> tuple[str, str]:
        """Add a switch of one pole, off and on; gives its two terminals."""
        self.add(name, "switch", positions={"off": [], "on": [["line", "load"]]})
        return f"{name}.line", f"{name}.load"

    def turned(self, base: str = "on", **other: str) -> dict[str, str]:
        """A position for every switch: ``base`` where the switch has it, its first one where it has not, or what ``other`` says."""
        found = {}
        for name, part in self.parts.items():
            positions, words = [] if "follows" in part else list(part.get("positions", ())), {}
            if part["kind"] == "breaker-switch":
                positions, words = ["open", "closed"], {"off": "open", "on": "closed"}
            if positions:
                wanted = other.get(name.replace("-", "_"), base)
                wanted = words.get(wanted, wanted)
                found[name] = wanted if wanted in positions else positions[0]
        return found

    def design(self, name: str, dress: Dress | None = None) -> Design:
        """What was put together, read; ``dress`` may add to the file before. Raises Unreadable where it does not fit together."""
        data: dict[str, Any] = {
            "format": 1,
            "aircraft": {"name": name, "nominal": "14 V", "airframe": self.airframe, "stage": "detailed"},
            "parts": self.parts,
            "wires": self.wires,
            "functions": self.functions,
            "operation": {"normal": next(iter(self.states)), "states": self.states},
        }
        if dress:
            dress(data)
        return read_text(json.dumps(data), name)
