"""Every wire with its current, limit, voltage drop and protection, and the drop to each load."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.questions.wires import WireTable
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.wires.table import COLUMNS, cells


def tables(design: Design, table: WireTable | None) -> tuple[Schedule | None, ...]:
    """The list of wires and that of loads; nothing without a table."""
    return (wire_currents(design, table), load_drops(table)) if table else ()


def wire_currents(design: Design, table: WireTable) -> Schedule:
    """Every wire where it is loaded worst, in the order of the file."""
    about = (
        "Every wire in the state and phase that loads it worst, as `reviewer wires` gives it: current and "
        "limit, the voltage drop on it there, its circuit protection with the largest that its gauge allows. "
        "While a spring-return switch is held what runs only then takes its peak current."
    )
    rows = tuple(cells(design, row) for row in table.wires)
    return Schedule("wire-currents", "Currents, drops and protection of wires", about, COLUMNS, rows)


def load_drops(table: WireTable) -> Schedule | None:
    """The voltage drop from its source to each load and back; None where nothing was solved."""
    rows: list[tuple[Cell, ...]] = []
    for row in table.loads:
        usual, lowest = row.continuous, row.lowest
        rows.append(
            (
                row.load,
                usual[0] if usual else "",
                number(usual[1].volts if usual else None, 3),
                number(row.peak.run.volts if row.peak else None, 3),
                lowest[0] if lowest else "",
                number(lowest[1] if lowest else None, 2),
                names(row.missing),
            )
        )
    if not rows:
        return None
    columns = (
        "load",
        "state",
        "voltage drop, V",
        "voltage drop at its peak, V",
        "state of the lowest voltage",
        "lowest voltage, V",
        "missing data",
    )
    about = (
        "The largest voltage drop from its source to each load and back, continuous and at its peak current "
        f"(limits {table.continuous.value:g} V and {table.intermittent.value:g} V, "
        f"{table.intermittent.origin}), and its lowest voltage."
    )
    return Schedule("voltage-drops", "Voltage drops to loads", about, columns, tuple(rows))
