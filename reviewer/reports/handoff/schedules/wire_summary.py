"""The wire to buy: by specification, colour and gauge, with its length and the mass of its conductor."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.design import Design, Wire
from reviewer.model.quantity_words import length_scale, quantity
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.tables.typical import typical
from reviewer.tables.wire_tables import conductor_mass

_NO_GAUGE = "gauge not stated"


def wire_summary(design: Design) -> Schedule:
    """Wire summed by what it is bought by, the largest gauge first, then all of it."""
    groups: dict[tuple[float, tuple[str, ...]], list[str]] = {}
    for name, wire in design.wires.items():
        area = wire.gauge.area_mm2 if wire.gauge else 0.0
        groups.setdefault((-area, _bought_by(wire)), []).append(name)
    rows: list[tuple[Cell, ...]] = []
    for (_, what), which in sorted(groups.items(), key=lambda group: group[0]):
        rows.append((*what, *_amounts(design, which), names(which)))
    rows.append(("all wire", "", "", "", "", "", *_amounts(design, list(design.wires)), ""))
    own_unit = () if design.length_unit == "m" else (f"length, {design.length_unit}",)
    columns = (
        "gauge",
        "specification",
        "colour",
        "insulation",
        "conductor",
        "shield",
        "wires",
        *own_unit,
        "length, m",
        "wires without a length",
        "mass, conductor only, g",
        "names of wires",
    )
    about = (
        "Wire by specification, colour and gauge, with no allowance for waste. The mass is that of the "
        "conductors alone, their areas of AC 43.13-1B Table 11-9 (metric sizes: nominal) times "
        f"{_density('copper')} for copper or {_density('aluminium')} for aluminium (from memory); insulation "
        "and shields add to it. "
        "A wire without gauge or length is not in it."
    )
    return Schedule("wire-summary", "Wire by specification and gauge", about, columns, tuple(rows))


def _density(metal: str) -> str:
    figure = typical("density", metal)
    return f"{figure.value:g} {figure.origin.unit}"


def _bought_by(wire: Wire) -> tuple[str, ...]:
    insulation = (
        wire.insulation_material or "",
        quantity(wire.insulation, "C") if wire.insulation is not None else "",
    )
    return (
        str(wire.gauge) if wire.gauge else _NO_GAUGE,
        wire.specification or "",
        wire.colour or "",
        " ".join(filter(None, insulation)),
        wire.conductor or "",
        "shielded" if wire.shield is not None else "",
    )


def _amounts(design: Design, which: Sequence[str]) -> tuple[Cell, ...]:
    """How many, their length in the unit of the file and in metres, those without, the mass in grams."""
    wires, unit = [design.wires[name] for name in which], design.length_unit
    metres = sum(w.length or 0.0 for w in wires)
    grams = sum(
        1000 * w.length * conductor_mass(w.gauge, w.conductor or "copper").value
        for w in wires
        if w.length is not None and w.gauge is not None
    )
    without = sum(w.length is None for w in wires)
    in_own_unit = () if unit == "m" else (number(metres / length_scale(unit), 2),)
    return len(wires), *in_own_unit, number(metres, 3), without, number(grams, 1)
