"""Bundles, and the fittings of bulkheads with the wires that pass them."""

from __future__ import annotations

from collections.abc import Iterator

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
        "names of wires",
    )
    about = "Every bundle with its wires, where it runs, and the fittings of bulkheads that it passes."
    return Schedule("bundles", "Bundles", about, columns, tuple(rows))


def bulkheads(design: Design) -> Schedule | None:
    """Every grommet and fitting with the wires that pass it; None where no wire names one."""
    rows: list[tuple[str, ...]] = [
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
    rows += _without_fitting(design)
    columns = ("fitting", "wire", "gauge", "bundle", "from", "zone, from end", "to", "zone, to end")
    about = (
        "Every grommet and fitting of a bulkhead, with the wires that pass it; then the wires from zone to "
        "zone of which the file states no fitting, for each two zones."
    )
    return Schedule("bulkheads", "Bulkhead fittings", about, columns, tuple(rows))


def _without_fitting(design: Design) -> Iterator[tuple[str, ...]]:
    """Wires from one zone to another for which no fitting is stated, a row for each two zones."""
    found: dict[tuple[str, str], list[str]] = {}
    for name, wire in design.wires.items():
        zones = _zone(design, wire.from_), _zone(design, wire.to)
        if all(zones) and zones[0] != zones[1] and not wire.through:
            found.setdefault(min(zones, zones[::-1]), []).append(name)
    for (one, other), which in found.items():
        wires = [design.wires[w] for w in which]
        gauges = names(dict.fromkeys(w.size for w in wires if w.size))
        run = names(dict.fromkeys(w.bundle for w in wires if w.bundle))
        yield "none stated", names(which), gauges, run, "", one, "", other


def _zone(design: Design, end: str) -> str:
    zone: str | None = design.parts[end.partition(".")[0]].zone
    return zone or ""
