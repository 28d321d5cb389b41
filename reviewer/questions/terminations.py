"""How each wire ends: what is crimped on it, and what lies on each stud."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import StrEnum

from reviewer.analysis.wiring.terminal_stacking import heavy_terminals
from reviewer.model import parts as p
from reviewer.model.design import Design, Wire
from reviewer.model.record import record


class EndKind(StrEnum):
    """What an end of a wire needs."""

    RING = "ring terminal"
    PLUG = "contact, plug side"
    SOCKET = "contact, socket side"
    SPLICE = "splice"
    TAB = "terminal for a block of tabs"
    OTHER = "as its part needs"


@record
class Termination:
    """One end of a wire, or of its shield, at a terminal ``at``, as ``part.terminal``.

    ``stud_size`` is the thread of the stud, "" where the file does not say or there is none.
    """

    wire: str
    at: str
    other_end: str
    kind: EndKind
    stud_size: str
    shield: bool

    @property
    def part(self) -> str:
        """The part at which the wire ends."""
        return self.at.partition(".")[0]


@record
class OnStud:
    """One thing on a stud: a wire, its shield or the case of a part, and where its other end is."""

    what: str
    other_end: str
    gauge: str
    area_mm2: float


@record
class StudStack:
    """What lies on a stud or tab, as ``part.terminal`` or the name of a stud, the largest conductor first."""

    part: str
    at: str
    stud_size: str
    on: tuple[OnStud, ...]


@record
class Terminations:
    """All ends of wires in the order of the file, and the studs and tabs with what lies on each.

    ``most`` is how many ring terminals one stud holds by common practice.
    """

    ends: tuple[Termination, ...]
    stacks: tuple[StudStack, ...]
    most: int


def terminations_of(design: Design, most: int) -> Terminations:
    """Every end of the wires of a design, and every stud and ground."""
    ends = tuple(end for name, wire in design.wires.items() for end in _ends(design, name, wire))
    return Terminations(ends, tuple(_stacks(design, ends)), most)


def end_of(design: Design, name: str, at: str) -> Termination:
    """The end ``at`` of a wire."""
    wire = design.wires[name]
    return _end(design, name, at, wire.to if at == wire.from_ else wire.from_, shield=False)


def _ends(design: Design, name: str, wire: Wire) -> Iterator[Termination]:
    yield from (end_of(design, name, at) for at in (wire.from_, wire.to))
    for at in wire.shield or ():
        yield _end(design, name, at, "", shield=True)


def _end(design: Design, name: str, at: str, other: str, shield: bool) -> Termination:
    part_name, _, terminal = at.partition(".")
    part = design.parts[part_name]
    return Termination(name, at, other, _kind(part, terminal), part.stud_size or "", shield)


def _kind(part: p.Part, terminal: str) -> EndKind:
    if isinstance(part, p.Connector):
        return EndKind.PLUG if terminal.endswith("-plug") else EndKind.SOCKET
    if isinstance(part, p.Splice):
        return EndKind.SPLICE
    if part.stud_size or isinstance(part, (p.Stud, p.Airframe)) or terminal in heavy_terminals(part):
        return EndKind.RING
    return EndKind.TAB if isinstance(part, p.GroundBlock) else EndKind.OTHER


def _stacks(design: Design, ends: tuple[Termination, ...]) -> Iterator[StudStack]:
    """What lies on each terminal that takes rings or tabs, part by part."""
    found: dict[str, dict[str, list[OnStud]]] = {}

    def put(at: str, what: OnStud) -> None:
        part = at.partition(".")[0]
        place = part if isinstance(design.parts[part], p.Stud) else at
        found.setdefault(part, {}).setdefault(place, []).append(what)

    for end in ends:
        if end.kind in (EndKind.RING, EndKind.TAB):
            put(end.at, _wire_on(design.wires[end.wire], end))
    for name, part in design.parts.items():
        mounted: str | None = getattr(part, "mounted_on", None)
        if mounted:
            put(mounted, OnStud(f"case of {name}", name, "", 0.0))
    for name in design.parts:
        for place, on in _in_order(found.get(name, {})):
            yield StudStack(name, place, design.parts[name].stud_size or "", on)


def _wire_on(wire: Wire, end: Termination) -> OnStud:
    if end.shield:
        return OnStud(f"shield of {end.wire}", "", "", 0.0)
    return OnStud(end.wire, end.other_end, wire.size, wire.gauge.area_mm2 if wire.gauge else 0.0)


def _in_order(places: Mapping[str, list[OnStud]]) -> Iterator[tuple[str, tuple[OnStud, ...]]]:
    for place, on in places.items():
        yield place, tuple(sorted(on, key=lambda one: -one.area_mm2))
