"""Bundles, and the fittings of bulkheads with the wires that pass them."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.model.quantity_words import length_scale
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number


def bundles(design: Design) -> Schedule | None:
    """Every bundle with its wires; None where no wire runs in one."""
    found: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        if wire.bundle:
            found.setdefault(wire.bundle, []).append(name)
    rows: list[tuple[Cell, ...]] = []
    scale = length_scale(design.length_unit)
    for bundle, which in found.items():
        wires = [design.wires[w] for w in which]
        lengths = [w.length for w in wires if w.length is not None]
        rows.append(
            (
                bundle,
                len(which),
                names(dict.fromkeys(w.size for w in wires if w.size)),
                number(max(lengths, default=0.0) / scale, 2) if lengths else "",
                names(dict.fromkeys(w.zone for w in wires if w.zone)),
                names(dict.fromkeys(f for w in wires for f in w.through)),
                names(dict.fromkeys(w.pair for w in wires if w.pair)),
                names(which),
            )
        )
    if not rows:
        return None
    columns = (
        "bundle",
        "wires",
        "gauges",
        f"longest wire, {design.length_unit}",
        "zones",
        "through",
        "twisted or differential pairs",
        "names",
    )
    about = "Every bundle with its wires, where it runs, and the fittings of bulkheads that it passes."
    return Schedule("bundles", "Bundles", about, columns, tuple(rows))


def bulkheads(design: Design) -> Schedule | None:
    """Every grommet and fitting with the wires that pass it; None where no wire names one."""
    rows = [
        (
            fitting,
            name,
            wire.size,
            wire.bundle or "",
            wire.from_,
            _zone(design, wire.from_),
            wire.to,
            _zone(design, wire.to),
        )
        for fitting in dict.fromkeys(f for w in design.wires.values() for f in w.through)
        for name, wire in design.wires.items()
        if fitting in wire.through
    ]
    if not rows:
        return None
    columns = ("fitting", "wire", "gauge", "bundle", "from", "zone of from", "to", "zone of to")
    about = "Every grommet and fitting of a bulkhead, with the wires that pass it."
    return Schedule("bulkheads", "Bulkhead fittings", about, columns, tuple(rows))


def _zone(design: Design, end: str) -> str:
    zone: str | None = design.parts[end.partition(".")[0]].zone
    return zone or ""
