"""The list of wires as comma-separated values (RFC 4180) and as versioned JSON."""

from __future__ import annotations

from typing import Final

from reviewer.model.design import Design
from reviewer.questions.wires import (
    Allowed,
    CircuitRun,
    EndProtection,
    HeldCurrent,
    LoadRow,
    PeakRun,
    WireLoad,
    WireRow,
    WireTable,
)
from reviewer.reports.csv import csv_of
from reviewer.reports.documents.wires_document import (
    CurrentLimit,
    DropEntry,
    DropLimit,
    DropShare,
    HeldEntry,
    ProtectionEntry,
    WiredLoad,
    WireEntry,
    WiresDocument,
)
from reviewer.reports.handoff.schedules.schedule import Cell
from reviewer.reports.handoff.schedules.schedule import number as cell
from reviewer.reports.review.json import beginning, dumped, number, rounded
from reviewer.reports.wires.words import protection_words, unprotected_words
from reviewer.tables.lookup import SourcedFigure, protection_basis
from reviewer.tables.wire_tables import ampacity_basis

FORMAT: Final = "circuit-wires/1"
COLUMNS = (
    *("wire", "from", "to", "gauge", "length, m", "insulation, C", "bundle", "wires in bundle"),
    *("bundle used, %", "zone of its ambient", "ambient, C", "state", "current, A", "limit, A"),
    *("current of limit, %", "voltage drop, V", "current while cranking, A"),
    *("switch held", "current while held, A", "circuit protection"),
    *("unprotected ends", "missing data"),
)


def wires_csv(design: Design, table: WireTable) -> str:
    """One row for each wire under a row of :data:`COLUMNS`, in the order of the file."""
    return csv_of(COLUMNS, (cells(design, row) for row in table.wires))


def cells(design: Design, row: WireRow) -> tuple[Cell, ...]:
    """One row under :data:`COLUMNS`, for the command and the package alike; what is not known is empty."""
    wire, load, allowed = design.wires[row.wire], row.loading, row.allowed
    return (
        row.wire,
        wire.from_,
        wire.to,
        wire.size,
        cell(wire.length),
        cell(wire.insulation),
        wire.bundle or "",
        cell(allowed.around.wires if allowed else None),
        cell(100 * load.bundle_used if load and wire.bundle else None, 0),
        allowed.ambient.zone if allowed else wire.zone or "",
        cell(allowed.ambient.celsius if allowed else None),
        str(load.flown) if load else "",
        cell(abs(load.amperes) if load else None, 2),
        cell(allowed.ampacity.amperes if allowed else None, 2),
        cell(100 * row.share if row.share is not None else None, 0),
        cell(row.drop, 3),
        cell(row.cranking, 1),
        f"{row.held.switch} at {row.held.position}" if row.held else "",
        cell(row.held.amperes if row.held else None, 2),
        "; ".join(protection_words(p) for p in row.protection),
        "; ".join(unprotected_words(row)),
        "; ".join(row.missing),
    )


def wires_json(file: str, design: Design, table: WireTable) -> str:
    """The whole table; ``schemas/wires.schema.json`` describes it."""
    document: WiresDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "basis": [ampacity_basis(), protection_basis()],
        "drop_limits": {
            "continuous": _drop_limit(table.continuous),
            "intermittent": _drop_limit(table.intermittent),
        },
        "typical_values": list(table.typical),
        "estimates": list(table.estimates),
        "missing_data": list(table.missing),
        "wires": [_wire(design, row) for row in table.wires],
        "loads": [_load(row) for row in table.loads],
    }
    return dumped(document)


def _drop_limit(figure: SourcedFigure) -> DropLimit:
    return {"volts": figure.value, "source": str(figure.origin)}


def _wire(design: Design, row: WireRow) -> WireEntry:
    wire, load = design.wires[row.wire], row.loading
    return {
        "wire": f"wires/{row.wire}",
        "from_terminal": wire.from_,
        "to_terminal": wire.to,
        "gauge": str(wire.gauge) if wire.gauge else None,
        "length_metres": wire.length,
        "bundle": wire.bundle,
        "state": load.flown.state if load else None,
        "phase": load.flown.phase if load else None,
        "amperes": rounded(load.amperes) if load else None,
        "limit": _limit(row.allowed, load) if row.allowed else None,
        "share_of_limit": rounded(row.share),
        "drop_volts": rounded(row.drop),
        "cranking_amperes": rounded(row.cranking),
        "held": _held(row.held) if row.held else None,
        "protection": list(map(_protection, row.protection)),
        "unprotected": [
            {"end": end, "sources": [f"parts/{s}" for s in sources]} for end, sources in row.unprotected
        ],
        "exempt": row.exempt,
        "missing_data": list(row.missing),
    }


def _held(held: HeldCurrent) -> HeldEntry:
    return {
        "switch": f"parts/{held.switch}",
        "position": held.position,
        "amperes": number(held.amperes),
    }


def _limit(allowed: Allowed, load: WireLoad | None) -> CurrentLimit:
    return {
        "amperes": number(allowed.ampacity.amperes),
        "basis": allowed.ampacity.basis,
        "printed_amperes": allowed.ampacity.start.value if allowed.ampacity.start else None,
        "factors": {name: number(value) for name, value in allowed.ampacity.factors},
        "wires_in_bundle": allowed.around.wires,
        "bundle_used": rounded(load.bundle_used) if load and allowed.bundle else None,
        "air_celsius": allowed.ambient.celsius,
        "zone": allowed.ambient.zone,
        "zone_known": allowed.ambient.known,
    }


def _protection(protection: EndProtection) -> ProtectionEntry:
    return {
        "end": protection.end,
        "device": f"parts/{protection.device}",
        "rating_amperes": protection.rating,
        "largest_amperes": protection.limit,
        "stub": protection.stub,
    }


def _load(row: LoadRow) -> WiredLoad:
    lowest = row.lowest
    return {
        "load": f"parts/{row.load}",
        "continuous": _drop(*row.continuous) if row.continuous else None,
        "peak": _peak(row.peak) if row.peak else None,
        "lowest_voltage": {"state": lowest[0], "volts": number(lowest[1])} if lowest else None,
        "missing_data": list(row.missing),
    }


def _peak(peak: PeakRun) -> DropEntry:
    return _drop(str(peak.place), peak.run)


def _drop(state: str, run: CircuitRun) -> DropEntry:
    return {
        "state": state,
        "amperes": number(run.amperes),
        "drop_volts": number(run.volts),
        "diode_volts": number(run.diode_volts),
        "begins": run.begins,
        "ends": run.ends,
        "supply_path": _shares(run.out),
        "return_path": _shares(run.back),
        "diodes": _shares(run.diodes),
    }


def _shares(of: tuple[tuple[str, float], ...]) -> list[DropShare]:
    return [{"element": element, "volts": number(volts)} for element, volts in of]
