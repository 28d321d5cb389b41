"""Schedules for wiring: wire list, circuit protection, ground map."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from reviewer.model import parts as p
from reviewer.model.design import Design, Wire
from reviewer.model.quantities import Gauge
from reviewer.model.quantity_words import length_scale, quantity, written
from reviewer.network.graph import Network, bare
from reviewer.questions.effects import EffectsTable
from reviewer.questions.naming import Mode
from reviewer.questions.terminations import EndKind, end_of
from reviewer.questions.wiring_schedule import EndSources, Reason, WireSupply, WiringSchedule
from reviewer.reports.handoff.schedules.label_table import ground_wires, marking
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.handoff.schedules.work_shares import wire_doer
from reviewer.reports.wording import counted

#: writes the names of sources in a cell
Words = Callable[[Sequence[str]], str]


def wire_list(design: Design, schedule: WiringSchedule, words: Words = names) -> Schedule:
    """Every wire in the order of the file. ``words`` writes the names of sources."""
    columns = (
        "wire",
        "marking",
        "from",
        "to",
        "terminal, from end",
        "terminal, to end",
        "gauge",
        f"length, {design.length_unit}",
        "bundle",
        "zone",
        "through",
        "specification",
        "colour",
        "conductor",
        "insulation",
        "insulation rating, C",
        "shield grounded at",
        "pair",
        "resistance",
        "maximum resistance in its test",
        "circuit protection, from end",
        "circuit protection, to end",
        "energised from",
        "by",
        "note",
    )
    grounds = ground_wires(design, schedule)
    rows = tuple(
        _wire_row(design, name, schedule.wires[name], name in grounds, words) for name in design.wires
    )
    about = (
        f"{counted(len(rows), 'wire')}, in the order of the design file, with its lengths. Circuit "
        "protection is listed for each end from which the wire can be energised, in any state, with the "
        "sources that it protects against; `none against` names those that meet no protection on their way "
        "to that end. A stub is at most 6 in (0.15 m) long. `energised from` holds for the normal "
        "state, where needed with a spring-return switch held."
    )
    return Schedule("wire-list", "Wire list", about, columns, rows)


def _wire_row(design: Design, name: str, supply: WireSupply, ground: bool, words: Words) -> tuple[Cell, ...]:
    wire = design.wires[name]
    return (
        name,
        marking(name, wire, ground),
        wire.from_,
        wire.to,
        _terminal(design, name, wire.from_),
        _terminal(design, name, wire.to),
        str(wire.gauge) if wire.gauge else "",
        _length(design, wire),
        wire.bundle or "",
        wire.zone or "",
        names(wire.through),
        wire.specification or "",
        wire.colour or "",
        wire.conductor or "",
        wire.insulation_material or "",
        number(wire.insulation, 0),
        names(wire.shield) or "not grounded" if wire.shield is not None else "",
        wire.pair or "",
        written(wire, "resistance") if wire.resistance is not None else "",
        written(wire, "max_resistance") if wire.max_resistance is not None else "",
        _protected(design, supply.from_end, words),
        _protected(design, supply.to_end, words),
        words(supply.sources) or (f"by {names(supply.held)} while held" if supply.held else ""),
        wire_doer(design, wire),
        wire.note or "",
    )


def _protected(design: Design, end: EndSources | None, words: Words) -> str:
    """``none against main-battery (stub); field-breaker against alternator``."""
    if end is None:
        return ""
    against: dict[str, list[str]] = {}
    for source, reason in end.unprotected.items():
        against.setdefault(_reason(design, source, reason), []).append(source)
    return "; ".join(
        [
            *(f"none against {words(sources)}{reason}" for reason, sources in against.items()),
            *(f"{protector} against {words(sources)}" for protector, sources in end.protectors.items()),
        ]
    )


def _reason(design: Design, source: str, reason: Reason) -> str:
    match reason:
        case "exempt":
            return " (battery or starter cable)"
        case "stub":
            return " (stub)"
        case "limited":
            part = design.parts[source]
            assert isinstance(part, p.SELF_LIMITED) and part.most is not None
            return f" (limits itself to {quantity(part.most, 'A')})"
    return ""


#: what is put on an end of a wire, as short as a wire list has it
_TERMINALS = {
    EndKind.RING: "ring",
    EndKind.PLUG: "plug contact",
    EndKind.SOCKET: "socket contact",
    EndKind.SPLICE: "splice",
    EndKind.TAB: "tab",
    EndKind.OTHER: "as its part needs",
}


def _terminal(design: Design, name: str, at: str) -> str:
    """What one end of a wire needs, with the stud of a ring terminal: ``ring M6``."""
    end = end_of(design, name, at)
    return f"{_TERMINALS[end.kind]} {end.stud_size if end.kind is EndKind.RING else ''}".strip()


def protection(design: Design, schedule: WiringSchedule, effects: EffectsTable | None) -> Schedule:
    """Every breaker, fuse and limiter: rating, next protection, what is lost when it opens."""
    columns = (
        "name",
        "kind",
        "rating, A",
        "label",
        "zone",
        "accessible",
        "reset",
        "spares",
        "smallest wire protected",
        "next protection upstream",
        "rating ratio",
        "loads lost when open",
        "functions lost when open",
        "hazard class",
    )
    opened = {e.failure.element: e for e in effects.effects if e.failure.mode is Mode.OPEN} if effects else {}
    smallest = _smallest(design)
    rows = []
    for name in design.of_kind(p.Protector):
        part = design.part(name, p.Protector)
        lost, upstream = opened.get(f"parts/{name}"), schedule.upstream[name]
        above = design.parts[upstream].rating if upstream else None
        ratio = number(above / part.rating, 2) if above and part.rating else ""
        rows.append(
            (
                name,
                part.kind,
                number(part.rating),
                part.label or "",
                part.zone or "",
                part.accessible or "",
                getattr(part, "reset", None) or "",
                number(getattr(part, "spares", None)),
                str(smallest.get(name, "")),
                upstream,
                ratio,
                names(map(bare, lost.loads)) if lost else "",
                names(f for f, _ in lost.functions) if lost else "",
                lost.hazard.word if lost and lost.hazard is not None else "",
            )
        )
    state = f"Losses are those in the normal state, {effects.state}." if effects else "No state is declared."
    about = f"{counted(len(rows), 'breaker, fuse or limiter', 'breakers, fuses and limiters')}. {state}"
    return Schedule("circuit-protection", "Circuit protection", about, columns, tuple(rows))


def _smallest(design: Design) -> Mapping[str, Gauge]:
    """By part the gauge of the smallest wire on it."""
    found: dict[str, Gauge] = {}
    for wire in design.wires.values():
        if (gauge := wire.gauge) is not None:
            for name in wire.joined_parts:
                found[name] = min(found.get(name, gauge), gauge, key=lambda g: g.area_mm2)
    return found


def ground_map(design: Design, network: Network, schedule: WiringSchedule) -> Schedule:
    """Every ground: its path to the negative of a source, and what is connected to it."""
    columns = (
        "ground",
        "kind",
        "zone",
        "terminal",
        "connected here",
        "other end",
        "gauge",
        f"length, {design.length_unit}",
        "path to the negative of a source",
    )
    rows, connections = [], _connections(design)
    for name, path in schedule.grounds.items():
        part = design.parts[name]
        back = " - ".join(path) if path else "none" if name in network.index else "does not conduct"
        for terminal, what, other, wire in connections.get(name, ()):
            gauge = str(wire.gauge) if wire and wire.gauge else ""
            length = _length(design, wire) if wire else ""
            rows.append((name, part.kind, part.zone or "", terminal, what, other, gauge, length, back))
    about = "Every ground, stud and piece of structure that carries a return, terminal by terminal."
    return Schedule("ground-map", "Ground map", about, columns, tuple(rows))


def _connections(design: Design) -> Mapping[str, list[tuple[str, str, str, Wire | None]]]:
    """By part: terminal, what is connected there, its other end, and the wire."""
    found: dict[str, list[tuple[str, str, str, Wire | None]]] = {}

    def add(place: str, what: str, other: str, wire: Wire | None) -> None:
        part, _, terminal = place.partition(".")
        found.setdefault(part, []).append((terminal, what, other, wire))

    for name, wire in design.wires.items():
        add(wire.from_, f"wire {name}", wire.to, wire)
        add(wire.to, f"wire {name}", wire.from_, wire)
        for place in wire.shield or ():
            add(place, f"shield of {name}", "", None)
    for name, part in design.parts.items():
        if mounted := getattr(part, "mounted_on", None):
            add(mounted, f"case of {name}", name, None)
    return found


def _length(design: Design, wire: Wire) -> Cell:
    """In the unit of the file."""
    return "" if wire.length is None else number(wire.length / length_scale(design.length_unit))
