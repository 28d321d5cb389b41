"""Every wire with its current, limit, voltage drop and protection, and the drop to each load."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.model.quantity_words import tabled
from reviewer.questions.wires import WireTable
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names
from reviewer.reports.wires.words import protection_words, unprotected_words


def tables(design: Design, table: WireTable | None) -> tuple[Schedule | None, ...]:
    """The list of wires and that of loads; nothing without a table."""
    return (wire_currents(design, table), load_drops(table)) if table else ()


def wire_currents(design: Design, table: WireTable) -> Schedule:
    """Every wire where it is loaded worst, in the order of the file."""
    rows: list[tuple[Cell, ...]] = []
    for row in table.wires:
        load, allowed = row.loading, row.allowed
        rows.append(
            (
                row.wire,
                design.wires[row.wire].size,
                str(load.flown) if load else "",
                _number(abs(load.amperes) if load else None, 2),
                _number(allowed.ampacity.amperes if allowed else None, 2),
                _number(100 * row.share if row.share is not None else None, 0),
                _number(row.drop, 3),
                _number(row.cranking, 1),
                "; ".join(protection_words(one) for one in row.protection),
                "; ".join(unprotected_words(row)),
                "; ".join(row.missing),
            )
        )
    columns = (
        "wire",
        "gauge",
        "state",
        "current, A",
        "limit, A",
        "current of limit, %",
        "voltage drop, V",
        "current while cranking, A",
        "circuit protection",
        "unprotected ends",
        "missing data",
    )
    about = (
        "Every wire in the state and phase that loads it worst, as `reviewer wires` gives it: current and "
        "limit, the voltage drop on it there, its circuit protection with the largest that its gauge allows."
    )
    return Schedule("wire-currents", "Currents, drops and protection of wires", about, columns, tuple(rows))


def load_drops(table: WireTable) -> Schedule | None:
    """The voltage drop from its source to each load and back; None where nothing was solved."""
    rows: list[tuple[Cell, ...]] = []
    for row in table.loads:
        usual, lowest = row.continuous, row.lowest
        rows.append(
            (
                row.load,
                usual[0] if usual else "",
                _number(usual[1].volts if usual else None, 3),
                _number(row.peak.run.volts if row.peak else None, 3),
                lowest[0] if lowest else "",
                _number(lowest[1] if lowest else None, 2),
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


def _number(value: float | None, places: int) -> Cell:
    return "" if value is None else tabled(value, places)
