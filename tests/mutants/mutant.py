"""What a mutant is, and the sound designs that mutants are made of."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import cache
from typing import Any

from tests.edits import REMOVE, Edits, edited, escaped
from tests.rule_cases import BASES, ROOT, Data, parsed

#: the sound designs by name. What the bases are found wanting in is known, and counts for no
#: mutant.
SOUND = {
    "tourer": ROOT / "examples" / "tourer.design.yaml",
    "sketch": ROOT / "examples" / "sketch.design.yaml",
    "watched": BASES / "watched.yaml",
    "wired": BASES / "wired.yaml",
}


@dataclass(frozen=True)
class Mutant:
    """A sound design with one thing changed. ``place`` names what was changed; ``edits`` are those
    of tests.edits.
    """

    design: str
    operator: str
    place: str
    edits: Edits
    names: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """The name of the mutant in the list."""
        return f"{self.design}/{self.operator}/{self.place}"

    @property
    def elements(self) -> tuple[str, ...]:
        """The parts and wires that were changed."""
        return self.names or (self.place,)

    def data(self) -> Data:
        """The data of the changed design."""
        return edited(sound(self.design), self.edits)


@cache
def sound(design: str) -> Data:
    """The data of a sound design; not to be changed."""
    return parsed(SOUND[design])


def wires_at(data: Data, part: str, terminal: str = "") -> list[str]:
    """The wires with an end at a part, or at one terminal of it."""

    def touches(end: str) -> bool:
        return end == f"{part}.{terminal}" if terminal else end.partition(".")[0] == part

    return [n for n, w in data["wires"].items() if touches(w["from"]) or touches(w["to"])]


def taken_out(data: Data, gone: Collection[str]) -> dict[str, Any]:
    """The edits that take parts and wires out, with every mention of them."""
    removed = [f"{group}/{escaped(n)}" for group in ("parts", "wires") for n in data[group] if n in gone]
    return {REMOVE: removed, **unmentioned(data, gone)}


def unmentioned(data: Data, gone: Collection[str]) -> dict[str, Any]:
    """The edits that take names out of what states pull, what actions move and what checks prove."""
    edits: dict[str, Any] = {}
    operation, watch = data.get("operation", {}), data.get("watch", {})
    for group, entries, key in (
        ("operation/states", operation.get("states", {}), "pulled"),
        ("operation/actions", operation.get("actions", {}), "after-failure-of"),
        ("watch/checks", watch.get("checks", {}), "proves"),
    ):
        for name, entry in entries.items():
            if not set(gone).isdisjoint(entry.get(key, ())):
                edits[f"{group}/{name}/{key}"] = [n for n in entry[key] if n not in gone]
    for name, action in operation.get("actions", {}).items():
        if not set(gone).isdisjoint(action["move"]):
            moves = {switch: to for switch, to in action["move"].items() if switch not in gone}
            edits[f"operation/actions/{name}/move"] = moves
    return edits


def of_kind(data: Data, *kinds: str) -> dict[str, Data]:
    """The parts of some kinds."""
    return {name: part for name, part in data["parts"].items() if part["kind"] in kinds}
