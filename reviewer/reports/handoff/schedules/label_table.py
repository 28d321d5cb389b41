"""Labels of parts and markings of wires."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from reviewer.model.design import Design, Wire
from reviewer.questions.wiring_schedule import WiringSchedule
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule


def marking(name: str, wire: Wire, ground: bool) -> str:
    """What is marked on a wire: its label, else its name with the gauge and, of a ground wire, N."""
    if wire.label:
        return wire.label
    size = str(wire.gauge).partition(" ")[0] if wire.gauge else ""
    return f"{name}{'-' if size or ground else ''}{size}{'N' if ground else ''}"


def ground_wires(design: Design, schedule: WiringSchedule) -> frozenset[str]:
    """The wires that end at a ground with a path to the negative of a source, or at that negative."""
    grounds = {name for name, path in schedule.grounds.items() if path is not None}
    negatives = {
        f"{name}.{terminal}"
        for name in design.of_kind(p.SOURCES)
        for terminal in ("negative", "ground")
        if terminal in design.parts[name].terminals()
    }
    return frozenset(
        name
        for name, wire in design.wires.items()
        if any(end in negatives or end.partition(".")[0] in grounds for end in (wire.from_, wire.to))
    )


def labels(design: Design, schedule: WiringSchedule) -> Schedule:
    """Every label to make: those of parts, then the markings of wires, then bundles and connectors."""
    about = (
        "Every label to make. A wire without a label of its own is marked with its name, its gauge in AWG "
        "or mm2 and, where it ends at a ground, N (common practice, no published source)."
    )
    columns = ("label", "of a", "name", "quantity", "where")
    return Schedule("labels", "Labels and wire markings", about, columns, tuple(_rows(design, schedule)))


def _rows(design: Design, schedule: WiringSchedule) -> Iterator[tuple[Cell, ...]]:
    for name, part in design.parts.items():
        if part.label:
            yield part.label, part.kind, name, 1, part.zone or ""
    grounds = ground_wires(design, schedule)
    for name, wire in design.wires.items():
        yield marking(name, wire, name in grounds), "wire", name, 2, f"{wire.from_} and {wire.to}"
    for bundle in dict.fromkeys(w.bundle for w in design.wires.values() if w.bundle):
        yield bundle, "bundle", bundle, 2, "both ends"
    for name in design.of_kind(p.Connector):
        if not design.parts[name].label:
            yield name, "connector", name, 2, "plug and socket"
