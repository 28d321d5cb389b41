"""Parts and wires that a new file has under other names."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import Finding, Gap

#: keys that say nothing of what a part does
_SAID = {"label", "note"}
#: parts whose terminals have no meaning of their own, and are often named by their circuit
_COMMON = (p.Bus, p.GroundBlock, p.Airframe, p.Splice, p.Stud)


@record
class Renames:
    """Names of the old file -> names of the new one, of ``parts``, ``wires`` and ``states``.

    ``shared`` are names that a file also gives to something else: in sentences they are left.
    """

    parts: Mapping[str, str]
    wires: Mapping[str, str]
    states: Mapping[str, str]
    shared: frozenset[str] = frozenset()

    def name(self, name: str) -> str:
        """The name that the new file gives a part or wire."""
        return self.parts.get(name, self.wires.get(name, name))

    def pointer(self, pointer: str) -> str:
        """The new pointer of an old element, or of a key of it."""
        kind, *rest = pointer.split("/")
        if kind in ("parts", "wires") and rest:
            rest[0] = (self.parts if kind == "parts" else self.wires).get(rest[0], rest[0])
        return "/".join((kind, *rest))

    def terminals(self, text: str) -> str:
        """Words with terminals, written as ``part.terminal``, under the new names of their parts."""
        return re.sub(r"(?<![\w./-])([\w-]+)(?=\.\w)", lambda found: self.name(found[1]), text)

    def text(self, text: str) -> str:
        """Words about the old design with the names that the new file gives."""
        every = {**self.states, **self.wires, **self.parts}
        names = sorted((n for n in every if n not in self.shared), key=len, reverse=True)
        if not names:
            return text
        named = re.compile(rf"(?<![\w./-])(?:{'|'.join(map(re.escape, names))})(?![\w/-])")
        return named.sub(lambda found: every[found[0]], text)

    def finding(self, finding: Finding) -> Finding:
        """An old finding with the names of the new file."""
        if not (self.parts or self.wires or self.states):
            return finding
        return replace(
            finding,
            subject=self.pointer(finding.subject),
            state=self.states.get(finding.state, finding.state),
            sentence=self.text(finding.sentence),
            failure=self.text(finding.failure),
            extent=self.text(finding.extent),
            numbers=tuple((what, self.text(value)) for what, value in finding.numbers),
        )

    def gap(self, gap: Gap) -> Gap:
        """An old gap with the names of the new file."""
        return replace(gap, subject=self.pointer(gap.subject), needs=self.text(gap.needs))


#: both files with the same names
SAME_NAMES = Renames({}, {}, {})


def renamed_parts(old: Design, new: Design) -> Renames:
    """The parts and wires of two files that are the same but for their names.

    A part is one where both files have a single one alike without its name: its kind and keys, and
    what each of its terminals is wired to. Its label and note may differ. A wire is one where both have
    a single one alike between the same ends.
    """
    found: dict[str, str] = {}
    shared = _shared(old) | _shared(new)
    while True:
        renames = Renames(found, {}, {}, shared)
        before = _alone(_parts(old, new, renames, {**found}))
        after = _alone(_parts(new, old, SAME_NAMES, dict.fromkeys(found.values(), "")))
        more = {before[key]: after[key] for key in before if key in after}
        if not more:
            break
        found |= more
    renames = Renames(found, {}, {}, shared)
    one = _alone((n, _wire(old, w, renames)) for n, w in old.wires.items() if n not in new.wires)
    two = _alone((n, _wire(new, w, SAME_NAMES)) for n, w in new.wires.items() if n not in old.wires)
    return replace(renames, wires={one[key]: two[key] for key in one if key in two})


def _shared(design: Design) -> frozenset[str]:
    """Names that the file gives to more than one thing."""
    watch, operation = design.watch, design.operation
    kinds: list[Iterable[str]] = [design.parts, design.wires, design.functions, watch.monitors, watch.checks]
    if operation:
        kinds += [operation.states, operation.phases, operation.actions]
    every = [name for names in kinds for name in set(names)]
    return frozenset(name for name in every if every.count(name) > 1)


def _alone(things: Iterable[tuple[str, Hashable]]) -> dict[Hashable, str]:
    """What each thing is alike by -> its name, where no other one is alike."""
    names: dict[Hashable, list[str]] = {}
    for name, key in things:
        names.setdefault(key, []).append(name)
    return {key: those[0] for key, those in names.items() if len(those) == 1}


def _parts(
    design: Design, other: Design, renames: Renames, done: Mapping[str, str]
) -> Iterable[tuple[str, Hashable]]:
    """The parts that the other file does not name and that are not paired yet, each with what it is alike
    by."""
    left = {name for name in design.parts if name not in other.parts and name not in done}
    joined: dict[str, list[tuple[str, str]]] = {name: [] for name in left}
    for wire in design.wires.values():
        for near, far in ((wire.from_, wire.to), (wire.to, wire.from_)):
            name = near.partition(".")[0]
            if name in left:
                there = _kind(design, far) if far.partition(".")[0] in left else _end(design, far, renames)
                joined[name].append((_terminal(design, near), there))
    for name in left:
        part = design.parts[name]
        keys = {key: renames.text(str(value)) for key, value in _keys(part)}
        yield name, (type(part).__name__, tuple(sorted(keys.items())), tuple(sorted(joined[name])))


def _keys(piece: Any) -> Iterable[tuple[str, Any]]:
    return ((key, getattr(piece, key)) for key in type(piece).model_fields if key not in _SAID)


def _kind(design: Design, terminal: str) -> str:
    return type(design.parts[terminal.partition(".")[0]]).__name__


def _terminal(design: Design, terminal: str) -> str:
    name, _, own = terminal.partition(".")
    return "" if isinstance(design.parts[name], _COMMON) else own


def _end(design: Design, terminal: str, renames: Renames) -> str:
    """An end of a wire under the names of the new file; of a bus or ground without the terminal."""
    return f"{renames.name(terminal.partition('.')[0])}.{_terminal(design, terminal)}"


def _wire(design: Design, wire: Any, renames: Renames) -> Hashable:
    ends = sorted(_end(design, end, renames) for end in (wire.from_, wire.to))
    return tuple(ends)
