"""The parts list: identical parts counted."""

from __future__ import annotations

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity, written
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names
from reviewer.reports.handoff.schedules.work_shares import part_doer
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
    "maker",
    "part_number",
    "by",
    "fitted",
}


def parts_list(design: Design) -> Schedule:
    """Identical parts, counted."""
    groups: dict[tuple[str, ...], list[str]] = {}
    for name, part in design.parts.items():
        if isinstance(part, MechanicalChannel):
            continue
        groups.setdefault((part.kind, *bought_by(part), part_doer(design, part)), []).append(name)
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (*what, len(which), by, names(which))
        for (*what, by), which in sorted(groups.items(), key=lambda group: group[0])
    )
    about = (
        "Identical parts of one maker and part number are counted together. Wire stands in the wire summary, "
        "ring terminals and contacts with the terminals."
    )
    columns = ("kind", "maker", "part number", "rating", "details", "quantity", "by", "names")
    return Schedule("parts", "Parts list", about, columns, rows)


def bought_by(part: p.Part) -> tuple[str, str, str, str]:
    """Maker, part number, rating and what else distinguishes a part from another of its kind."""
    return part.maker or "", part.part_number or "", _rating(part), _details(part)


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
