"""The parts list: identical parts counted, wire summed by gauge and insulation."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design, Wire
from reviewer.model.quantity_words import length_scale, quantity, written
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.wording import counted

#: keys for the place, use and upkeep of a part, which do not matter for buying it
_NOT_DETAILS = {
    "kind",
    "open_ended",
    "label",
    "zone",
    "note",
    "rating",
    "capacity",
    "protects",
    "regulates",
    "smoothing_capacitor",
    "mounted_on",
    "placard",
    "purpose",
    "duty",
    "figures",
    "noise",
    "secured",
    "vented",
    "terminals_insulated",
    "capacity_test_interval",
    "minimum_capacity",
    "endurance",
    "state_of_charge",
    "operated_by",
    "follows",
    "at_rest",
    "commanded_by",
    "ground",
    "inspected",
    "spares",
    "accessible",
    "locked",
    "heat_sink",
}


def parts_list(design: Design) -> Schedule:
    """Identical parts, counted, then wire by gauge and insulation."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for name, part in design.parts.items():
        if isinstance(part, MechanicalChannel):
            continue
        groups.setdefault((part.kind, _rating(part), _details(part)), []).append(name)
    rows: list[tuple[Cell, ...]] = [
        (*key, len(which), "each", names(which)) for key, which in sorted(groups.items(), key=lambda g: g[0])
    ]
    about = (
        "Identical parts are counted together. Wire is summed by gauge and insulation, with no allowance "
        "for waste."
    )
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
                    f"insulation {quantity(wire.insulation, 'C')}" if wire.insulation is not None else "",
                    "shielded" if wire.shield is not None else "",
                ),
            )
        )
        gauge = str(wire.gauge) if wire.gauge else "gauge not stated"
        wires.setdefault((-area, gauge, kind), []).append((name, wire))
    for (_, gauge, kind), which in sorted(wires.items(), key=lambda g: g[0]):
        lengths = [w.length for _, w in which]
        total = number(sum(filter(None, lengths)) / length_scale(design.length_unit), 2)
        unknown = f", {sum(n is None for n in lengths)} without a length" if None in lengths else ""
        yield "wire", gauge, kind + unknown, total, design.length_unit, names(n for n, _ in which)


def _rating(part: p.Part) -> str:
    rating = getattr(part, "rating", None)
    if isinstance(part, p.Battery):
        return quantity(part.capacity, "Ah") if part.capacity else ""
    return quantity(rating, "A") if rating else ""


def _details(part: p.Part) -> str:
    """What distinguishes a part from another of its kind when it is bought."""
    found = []
    for key in (k for k in type(part).model_fields if k not in _NOT_DETAILS):
        value = getattr(part, key)
        if not isinstance(value, (str, int, float)):
            continue
        name = key.replace("_", " ")
        if isinstance(value, bool):
            found.append(name if value else f"not {name}")
        else:
            found.append(f"{name} {written(part, key) if isinstance(value, float) else value}")
    if isinstance(part, p.Switch) and not part.by_hand:
        found.append(f"operated by {part.operated_by}, at rest {part.at_rest}")
    if isinstance(part, p.Switch):
        found.append(f"positions {' / '.join(part.positions)}, {counted(len(part.terminals()), 'terminal')}")
    if isinstance(part, p.Instrument):
        found += [
            f"{entry.signal} pulled up through {written(entry, 'pull_up_resistance')}"
            for entry in part.inputs.values()
            if entry.pull_up_resistance is not None
        ]
    if isinstance(part, p.Consumer):
        found += [f"output {name} to {made.switches}" for name, made in part.outputs.items()]
    if isinstance(part, p.Connector):
        found.append(counted(len(part.pins), "pin"))
    return ", ".join(found)
