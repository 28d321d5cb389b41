"""What is needed to wire the aircraft: the wire list, circuit protection, the ground map, the parts list."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from reviewer.model.design import Design, Wire
from reviewer.model.quantities import written
from reviewer.network.graph import Network, bare
from reviewer.questions.effects import EffectsTable
from reviewer.questions.wiring_schedule import WiringSchedule
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.wording import counted

#: what is said of a part's place, use and upkeep, which does not tell it from another in a shop
_NOT_DETAILS = {
    "kind", "open_ended", "label", "zone", "note", "rating", "capacity", "protects", "mounted_on", "placard", "purpose", "duty", "figures", "used",
    "noise", "held_down", "vented", "posts_covered", "tested_every", "replaced_below", "endurance", "state_of_charge", "inspected", "spares", "reach",
    "locked", "heat_sink",
}  # fmt: skip


def wire_list(design: Design, schedule: WiringSchedule) -> Schedule:
    """Every wire in the order of the file."""
    columns = (
        "wire", "marking", "from", "to", "gauge", "length, m", "bundle", "zone", "insulation rating, C", "shield grounded at",
        "circuit protection, from end", "circuit protection, to end", "energised from", "note",
    )  # fmt: skip
    rows = []
    for name, wire in design.wires.items():
        supply = schedule.wires[name]
        rows.append((
            name, wire.label or name, wire.from_, wire.to, str(wire.gauge) if wire.gauge else "", number(wire.length), wire.bundle or "", wire.zone or "",
            number(wire.insulation, 0), names(wire.shield) if wire.shield is not None else "",
            names(supply.from_end), names(supply.to_end), names(supply.sources), wire.note or "",
        ))  # fmt: skip
    about = (
        f"{counted(len(rows), 'wire')}, in the order of the design file, with its lengths. Circuit protection is listed "
        "for each end from which the wire can be energised; the last column holds for the normal state."
    )
    return Schedule("wire-list", "Wire list", about, columns, tuple(rows))


def protection(design: Design, schedule: WiringSchedule, effects: EffectsTable | None) -> Schedule:
    """Every breaker, fuse and limiter: what it protects, what protects it in turn, what is lost when it opens."""
    columns = (
        "name", "kind", "rating, A", "label", "zone", "accessible", "reset", "spares", "smallest wire on it",
        "next protection towards the source", "rating ratio", "loads lost when open", "functions lost when open",
        "hazard class",
    )  # fmt: skip
    opened = {e.failure.element: e for e in effects.effects if e.failure.mode == "open"} if effects else {}
    rows = []
    for name in design.of_kind(p.Protector):
        part = design.part(name, p.Protector)
        lost, upstream = opened.get(f"parts/{name}"), schedule.upstream[name]
        above = design.parts[upstream].rating if upstream else None
        ratio = number(above / part.rating, 2) if above and part.rating else ""
        rows.append((
            name, part.kind, number(part.rating), part.label or "", part.zone or "", part.reach or "", getattr(part, "reset", None) or "",
            number(getattr(part, "spares", None)), _smallest(design, name), upstream, ratio, names(map(bare, lost.loads)) if lost else "",
            names(f for f, _ in lost.functions) if lost else "", lost.hazard.word if lost and lost.hazard is not None else "",
        ))  # fmt: skip
    state = f"Losses are those in the normal state, {effects.state}." if effects else "No state is declared."
    about = f"{counted(len(rows), 'breaker, fuse or limiter', 'breakers, fuses and limiters')}. {state}"
    return Schedule("circuit-protection", "Circuit protection", about, columns, tuple(rows))


def _smallest(design: Design, name: str) -> str:
    gauges = [
        w.gauge
        for w in design.wires.values()
        if w.gauge and name in (w.from_.partition(".")[0], w.to.partition(".")[0])
    ]
    return str(min(gauges, key=lambda g: g.area_mm2)) if gauges else ""


def ground_map(design: Design, network: Network, schedule: WiringSchedule) -> Schedule:
    """Every ground, the path from it to the negative of a source, and what is connected to each of its terminals."""
    columns = (
        "ground", "kind", "zone", "terminal", "connected here", "other end", "gauge", "length, m",
        "path to the negative of a source",
    )  # fmt: skip
    rows = []
    for name, path in schedule.grounds.items():
        part = design.parts[name]
        back = " - ".join(path) if path else "none" if name in network.index else "does not conduct"
        for terminal, what, other, wire in _connections(design, name):
            gauge = str(wire.gauge) if wire and wire.gauge else ""
            length = number(wire.length) if wire else ""
            rows.append((name, part.kind, part.zone or "", terminal, what, other, gauge, length, back))
    about = "Every ground, stud and piece of structure that carries a return, terminal by terminal."
    return Schedule("ground-map", "Ground map", about, columns, tuple(rows))


def _connections(design: Design, ground: str) -> Iterator[tuple[str, str, str, Wire | None]]:
    """Terminal, what is connected there, its other end, and the wire."""
    for name, wire in design.wires.items():
        for here, there in ((wire.from_, wire.to), (wire.to, wire.from_)):
            if here.partition(".")[0] == ground:
                yield here.partition(".")[2], f"wire {name}", there, wire
        for place in wire.shield or ():
            if place.partition(".")[0] == ground:
                yield place.partition(".")[2], f"shield of {name}", "", None
    for name, part in design.parts.items():
        mounted: str | None = getattr(part, "mounted_on", None)
        if mounted and mounted.partition(".")[0] == ground:
            yield mounted.partition(".")[2], f"case of {name}", name, None


def parts_list(design: Design) -> Schedule:
    """Identical parts, counted, then wire by gauge and insulation."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for name, part in design.parts.items():
        groups.setdefault((part.kind, _rating(part), _details(part)), []).append(name)
    rows: list[tuple[Cell, ...]] = [
        (*key, len(which), "each", names(which)) for key, which in sorted(groups.items(), key=lambda g: g[0])
    ]
    about = "Identical parts are counted together. Wire is summed by gauge and insulation, with no allowance for waste."
    columns = ("kind", "rating", "details", "quantity", "unit", "names")
    return Schedule("parts", "Parts list", about, columns, (*rows, *_wire_rows(design)))


def _wire_rows(design: Design) -> Iterator[tuple[Cell, ...]]:
    """The length of each kind of wire, the largest gauge first."""
    wires: dict[tuple[float, str, str], list[tuple[str, Wire]]] = {}
    for name, wire in design.wires.items():
        area = wire.gauge.area_mm2 if wire.gauge else 0.0
        kind = ", ".join(
            filter(
                None,
                (
                    f"insulation {wire.insulation:g} C" if wire.insulation is not None else "",
                    "shielded" if wire.shield is not None else "",
                ),
            )
        )
        gauge = str(wire.gauge) if wire.gauge else "gauge not stated"
        wires.setdefault((-area, gauge, kind), []).append((name, wire))
    for (_, gauge, kind), which in sorted(wires.items(), key=lambda g: g[0]):
        lengths = [w.length for _, w in which]
        total = number(sum(filter(None, lengths)), 2)
        unknown = f", {sum(n is None for n in lengths)} without a length" if None in lengths else ""
        yield "wire", gauge, kind + unknown, total, "m", names(n for n, _ in which)


def _rating(part: p.Part) -> str:
    rating = getattr(part, "rating", None)
    if isinstance(part, p.Battery):
        return f"{part.capacity:g} Ah" if part.capacity else ""
    return f"{rating:g} A" if rating else ""


def _details(part: p.Part) -> str:
    """What tells a part from another of its kind, without what is said of its place and use."""
    found = []
    for key in part.__dataclass_fields__:
        value = getattr(part, key)
        if key in _NOT_DETAILS or not isinstance(value, (str, int, float)):
            continue
        name = key.replace("_", " ")
        if isinstance(value, bool):
            found.append(name if value else f"not {name}")
        else:
            found.append(f"{name} {written(part, key) if isinstance(value, float) else value}")
    if isinstance(part, p.Switch):
        found.append(f"positions {' / '.join(part.positions)}, {counted(len(part.terminals()), 'terminal')}")
    if isinstance(part, p.Connector):
        found.append(counted(len(part.pins), "pin"))
    return ", ".join(found)
