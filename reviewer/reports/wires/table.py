"""The list of wires as comma-separated values (RFC 4180), for a spreadsheet, and with the list of loads as versioned JSON, for other programs."""

from __future__ import annotations

from typing import Any

from reviewer.analysis.wiring.peak_drop import PeakRun
from reviewer.analysis.wiring.voltage_drop import Run
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.wires import EndProtector, LoadRow, WireRow, WireTable
from reviewer.reports.csv import csv_of
from reviewer.reports.review.json import beginning, dumped
from reviewer.reports.wording import shown
from reviewer.tables.lookup import Figure, protection_basis
from reviewer.tables.wire_tables import ampacity_basis

FORMAT = "circuit-wires/1"
COLUMNS = (
    "wire", "from", "to", "gauge", "length m", "insulation C", "bundle", "wires in bundle", "bundle used %", "zone", "air C", "state", "current A",
    "may carry A", "current of that %", "drop V", "while cranking A", "protectors", "ends without a protector", "not assessed",
)  # fmt: skip


def wires_csv(design: Design, table: WireTable) -> str:
    """One row a wire under a row of :data:`COLUMNS`, in the order of the file. A cell that a spreadsheet would compute begins with an apostrophe."""
    return csv_of(COLUMNS, (cells(design, row) for row in table.wires))


def cells(design: Design, row: WireRow) -> tuple[str, ...]:
    """One row under :data:`COLUMNS`; what is not known is empty."""
    wire, load, allowed = design.wires[row.wire], row.load, row.allowed
    return (
        shown(row.wire),
        shown(wire.from_),
        shown(wire.to),
        str(wire.gauge or ""),
        _number(wire.length),
        _number(wire.insulation),
        shown(wire.bundle or ""),
        str(allowed.around.wires) if allowed else "",
        _number(100 * load.bundle_used if load and wire.bundle else None, 0),
        shown(allowed.ambient.zone if allowed else wire.zone or ""),
        _number(allowed.ambient.celsius if allowed else None),
        shown(str(load.flown)) if load else "",
        _number(abs(load.amperes) if load else None, 2),
        _number(allowed.ampacity.amperes if allowed else None, 2),
        _number(100 * row.share if row.share is not None else None, 0),
        _number(row.drop, 3),
        _number(row.cranking, 1),
        "; ".join(protector_words(p) for p in row.protectors),
        "; ".join(unprotected_words(row)),
        shown("; ".join(row.lacks)),
    )


def protector_words(protector: EndProtector) -> str:
    """A protector, its rating, and what Table 11-3 allows for the wire."""
    rating = f"{protector.rating:g} A" if protector.rating is not None else "rating not given"
    limit = (
        ", which need not fit a stub"
        if protector.stub
        else f", {protector.limit:g} A allowed"
        if protector.limit is not None
        else ""
    )
    return f"{shown(protector.protector)} {rating}{limit} (towards {shown(protector.end)})"


def unprotected_words(row: WireRow) -> list[str]:
    """The ends that something feeds with no protector between."""
    custom = ", as is the custom" if row.exempt else ""
    return [
        f"{shown(end)}, fed by {', '.join(map(shown, sources))}{custom}" for end, sources in row.unprotected
    ]


def _number(value: float | None, places: int | None = None) -> str:
    return "" if value is None else f"{value:g}" if places is None else f"{value:.{places}f}"


def wires_json(file: str, design: Design, table: WireTable) -> str:
    """The whole table; ``schemas/wires.schema.json`` describes it."""
    return dumped(
        {
            **beginning(FORMAT, file, design),
            "basis": [ampacity_basis(), protection_basis()],
            "drop_limits": {"continuous": _limit(table.continuous), "short": _limit(table.short)},
            "typical_values": list(table.typical),
            "not_assessed": list(table.lacks),
            "wires": [_wire(design, row) for row in table.wires],
            "loads": [_load(row) for row in table.loads],
        }
    )


def _limit(figure: Figure) -> dict[str, Any]:
    return {"volts": figure.value, "source": str(figure.origin)}


def _wire(design: Design, row: WireRow) -> dict[str, Any]:
    wire, load, allowed = design.wires[row.wire], row.load, row.allowed
    may = {
        "amperes": _rounded(allowed.ampacity.amperes),
        "basis": allowed.ampacity.basis,
        "printed_amperes": allowed.ampacity.start.value if allowed.ampacity.start else None,
        "factors": {name: _rounded(value) for name, value in allowed.ampacity.factors},
        "wires_in_bundle": allowed.around.wires,
        "bundle_used": _rounded(load.bundle_used) if load and allowed.bundle else None,
        "air_celsius": allowed.ambient.celsius,
        "zone": allowed.ambient.zone,
        "zone_known": allowed.ambient.known,
    } if allowed else None  # fmt: skip
    return {
        "wire": f"wires/{row.wire}",
        "from": wire.from_,
        "to": wire.to,
        "gauge": str(wire.gauge) if wire.gauge else None,
        "length_metres": wire.length,
        "bundle": wire.bundle,
        "state": load.flown.state if load else None,
        "phase": load.flown.phase if load else None,
        "amperes": _rounded(load.amperes) if load else None,
        "may_carry": may,
        "share": _rounded(row.share),
        "drop_volts": _rounded(row.drop),
        "cranking_amperes": _rounded(row.cranking),
        "protectors": [
            {
                "end": p.end,
                "protector": f"parts/{p.protector}",
                "rating_amperes": p.rating,
                "allowed_amperes": p.limit,
                "stub": p.stub,
            }
            for p in row.protectors
        ],
        "unprotected": [
            {"end": end, "sources": [f"parts/{s}" for s in sources]} for end, sources in row.unprotected
        ],
        "exempt": row.exempt,
        "not_assessed": list(row.lacks),
    }


def _load(row: LoadRow) -> dict[str, Any]:
    return {
        "load": f"parts/{row.load}",
        "usual": {"state": row.usual[0], **_run(row.usual[1])} if row.usual else None,
        "peak": _peak(row.peak) if row.peak else None,
        "least_volts": {"state": row.least[0], "volts": _rounded(row.least[1])} if row.least else None,
        "not_assessed": list(row.lacks),
    }


def _peak(peak: PeakRun) -> dict[str, Any]:
    return {"state": str(peak.place), **_run(peak.run)}


def _run(run: Run) -> dict[str, Any]:
    def shares(of: tuple[tuple[str, float], ...]) -> list[dict[str, Any]]:
        return [{"element": element, "volts": _rounded(volts)} for element, volts in of]

    return {
        "amperes": _rounded(run.amperes),
        "drop_volts": _rounded(run.volts),
        "diode_volts": _rounded(run.diode_volts),
        "begins": run.begins,
        "ends": run.ends,
        "out": shares(run.out),
        "back": shares(run.back),
        "diodes": shares(run.diodes),
    }


def _rounded(value: float | None) -> float | None:
    """A number to six places: what is beyond comes from rounding, not from the design."""
    return None if value is None else round(value, 6) + 0.0


def name_of(element: str) -> str:
    """An element as it is shown."""
    return shown(bare(element))
