"""Who does what, and where the work of one meets that of the other."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design, Wire
from reviewer.model.quantity_words import length_scale
from reviewer.questions.wires import WireTable
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number

NOT_STATED = "not stated"


def part_doer(design: Design, part: p.Part) -> str:
    """Who fits a part: as it says itself, else as its zone does; "" where neither does."""
    return part.by or _of_zone(design, part.zone)


def wire_doer(design: Design, wire: Wire) -> str:
    """Who runs a wire: as it says itself, else as its zone does, else whoever fits both of its ends.

    Half of a connector goes with the wire in it: of a wire to a connector the other end says it.
    """
    at = [_part_at(design, end) for end in (wire.from_, wire.to)]
    ends = {part_doer(design, part) for part in at if not isinstance(part, p.Connector)}
    ends = ends or {part_doer(design, part) for part in at}
    return wire.by or _of_zone(design, wire.zone) or (ends.pop() if len(ends) == 1 else "")


def _of_zone(design: Design, zone: str | None) -> str:
    entry = design.aircraft.zones.get(zone) if zone else None
    return (entry.by if entry else None) or ""


def _part_at(design: Design, end: str) -> p.Part:
    """The part at an end of a wire, one that is fitted later too."""
    name = end.partition(".")[0]
    found: p.Part = design.parts[name] if name in design.parts else design.provisions.parts[name]
    return found


def work(design: Design) -> Schedule:
    """For each of owner and installer, zone by zone: parts, wires and their length."""
    rows: dict[tuple[str, str], tuple[list[str], list[str]]] = {}
    for name, part in design.parts.items():
        if not isinstance(part, MechanicalChannel):
            key = (part_doer(design, part) or NOT_STATED, part.zone or "")
            rows.setdefault(key, ([], []))[0].append(name)
    for name, wire in design.wires.items():
        key = (wire_doer(design, wire) or NOT_STATED, wire.zone or "")
        rows.setdefault(key, ([], []))[1].append(name)
    scale = length_scale(design.length_unit)
    cells: list[tuple[Cell, ...]] = []
    for (by, zone), (parts, wires) in sorted(rows.items(), key=_by_doer):
        total = sum(design.wires[w].length or 0.0 for w in wires) / scale
        unknown = sum(design.wires[w].length is None for w in wires)
        cells.append(
            (by, zone, len(parts), len(wires), number(total, 2), unknown, names(parts), names(wires))
        )
    columns = (
        "by",
        "zone",
        "parts",
        "wires",
        f"length of wire, {design.length_unit}",
        "wires without a length",
        "names of parts",
        "names of wires",
    )
    about = (
        "Who does what, zone by zone. Where neither a part nor its zone says it, it is not stated; a wire "
        "goes with its zone, else with both of its ends, of a wire to a connector with the other end."
    )
    return Schedule("work", "Who does what", about, columns, tuple(cells))


def _by_doer(row: tuple[tuple[str, str], object]) -> tuple[bool, str, str]:
    """What nobody is named for comes last."""
    (by, zone), _ = row
    return by == NOT_STATED, by, zone


def largest_currents(table: WireTable | None) -> dict[str, float]:
    """Wire -> the most amperes that it carries in any state, while cranking too."""
    return {
        row.wire: max(abs(row.loading.amperes), row.cranking or 0.0)
        for row in (table.wires if table else ())
        if row.loading
    }


def interfaces(design: Design, table: WireTable | None) -> Schedule | None:
    """Every place where the work of the owner meets that of the installer; None where none does."""
    amperes = largest_currents(table)
    rows = [
        (
            *place,
            names([wire]),
            design.wires[wire].size,
            number(amperes[wire], 2) if wire in amperes else "",
        )
        for wire, place in _meetings(design)
    ]
    if not rows:
        return None
    columns = (
        "kind",
        "place",
        "on one side",
        "by",
        "on the other side",
        "by (other side)",
        "wire",
        "gauge",
        "current, A",
    )
    about = (
        "Every place where the work of the owner meets that of the installer: ends of wires, pins of "
        "connectors, fittings of bulkheads, and wires between their parts of which the file does not say who "
        "runs them. Both agree on who makes the joint. The current is the largest solved one."
    )
    return Schedule("interfaces", "Interfaces", about, columns, tuple(rows))


def _meetings(design: Design) -> Iterator[tuple[str, tuple[str, str, str, str, str, str]]]:
    """Wire -> kind, place, one side and its doer, the other side and its doer."""
    by_terminal: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        for end in (wire.from_, wire.to):
            by_terminal.setdefault(end, []).append(name)
    for name, wire in design.wires.items():
        own = wire_doer(design, wire)
        for end in (wire.from_, wire.to):
            part = design.parts[end.partition(".")[0]]
            if isinstance(part, p.Connector):
                continue
            doer = part_doer(design, part)
            if own and doer and own != doer:
                yield name, ("end of a wire", end, f"part {end.partition('.')[0]}", doer, f"wire {name}", own)
        at = [design.parts[end.partition(".")[0]] for end in (wire.from_, wire.to)]
        ends = [own if isinstance(part, p.Connector) else part_doer(design, part) for part in at]
        if all(ends) and ends[0] != ends[1]:
            for fitting in wire.through:
                yield name, ("bulkhead", fitting, wire.from_, ends[0], wire.to, ends[1])
            if not own and not wire.through:
                yield name, ("wire without `by`", "", wire.from_, ends[0], wire.to, ends[1])
    for connector in design.of_kind(p.Connector):
        yield from _at_pins(design, connector, by_terminal)


def _at_pins(
    design: Design, connector: str, by_terminal: dict[str, list[str]]
) -> Iterator[tuple[str, tuple[str, str, str, str, str, str]]]:
    part = design.part(connector, p.Connector)
    for pin in part.pins:
        plug, socket = (by_terminal.get(f"{connector}.{pin}-{side}", ()) for side in ("plug", "socket"))
        for one in plug:
            for other in socket:
                doers = [wire_doer(design, design.wires[w]) for w in (one, other)]
                if all(doers) and doers[0] != doers[1]:
                    sides = (f"plug, wire {one}", doers[0], f"socket, wire {other}", doers[1])
                    yield one, ("connector", f"{connector}, pin {pin}", *sides)
