"""The list of wires for a terminal: nearest to the limit first, then loads by voltage drop."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model.design import Design
from reviewer.model.parts import Consumer
from reviewer.model.quantity_words import length as length_words
from reviewer.model.quantity_words import quantity, volts_lost
from reviewer.network.graph import bare
from reviewer.questions.wires import Allowed, CircuitRun, LoadRow, WireLoad, WireRow, WireTable
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.wires.words import protection_words, unprotected_words
from reviewer.reports.wording import counted, shown
from reviewer.tables.lookup import protection_basis
from reviewer.tables.wire_tables import ampacity_basis

#: less than this is no current
_NO_CURRENT_A = 0.001


def wires_text(file: str, design: Design, table: WireTable, width: int = 100) -> str:
    """The whole table, the basis and the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: wires", width)
    loads = len(design.of_kind(Consumer))
    lines += lines_of(f"{counted(len(table.wires), 'wire')}, {counted(loads, 'load')}.", width)
    for note in table.missing:
        lines += lines_of(f"Missing data: {shown(note)}.", width, 0, 2)
    loaded = [row for row in table.wires if row.loading and abs(row.loading.amperes) >= _NO_CURRENT_A]
    rest = [row for row in table.wires if row not in loaded]
    for title, rows in (
        ("Wires, nearest to their limit first", sorted(loaded, key=_nearest)),
        ("Wires without current" if table.loads or not table.missing else "Wires, currents unknown", rest),
    ):
        if rows:
            lines += ["", f"{title}: {len(rows)}"]
            for row in rows:
                lines += _wire(design, row, width)
    if table.loads:
        lines += ["", f"Voltage drop from the bus to each load and back, largest first: {len(table.loads)}"]
        for load in sorted(
            table.loads, key=lambda row: -(row.continuous[1].volts if row.continuous else -1.0)
        ):
            lines += _load(design, load, table, width)
    lines += ["", "Basis"]
    for sentence in (ampacity_basis(), protection_basis(), *_typical(table)):
        lines += lines_of(f"- {shown(sentence)}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _typical(table: WireTable) -> Iterator[str]:
    if table.typical:
        yield f"Typical values used for missing data: {'; '.join(table.typical)}."
    if table.estimates:
        yield f"Estimates, taken as written, a range by its middle: {', '.join(table.estimates)}."


def _nearest(row: WireRow) -> float:
    return float("-inf") if row.share is None else -row.share


def _wire(design: Design, row: WireRow, width: int) -> Iterator[str]:
    wire, load, allowed = design.wires[row.wire], row.loading, row.allowed
    length = length_words(wire.length, design.length_unit) if wire.length is not None else "no length"
    heading = f"- {shown(row.wire)}, {wire.gauge or 'no gauge'}, {length}, "
    yield from lines_of(f"{heading}{shown(wire.from_)} to {shown(wire.to)}", width, 2, 4)
    if load is not None:
        yield from labelled("current", _current(row, load, allowed), width)
        if row.cranking is not None and row.cranking >= max(1.0, 1.1 * abs(load.amperes)):
            yield from labelled("cranking", f"{quantity(row.cranking, 'A')}, for seconds", width)
    if row.held is not None:
        held = f"{shown(row.held.switch)} held at {shown(row.held.position)}"
        yield from labelled("while held", f"{quantity(row.held.amperes, 'A')}, {held}", width)
    if allowed is not None and load is not None:
        yield from labelled("routing", _routing(load, allowed), width)
    for protection in row.protection:
        yield from labelled("protected by", protection_words(protection), width)
    for sentence in unprotected_words(row):
        yield from labelled("unprotected at", sentence, width)
    for missing in row.missing:
        yield from labelled("missing data", shown(missing), width)


def _current(row: WireRow, load: WireLoad, allowed: Allowed | None) -> str:
    limit = ""
    if allowed and row.share is not None:
        limit = f", limit {quantity(allowed.ampacity.amperes, 'A')} ({100 * row.share:.0f} %)"
    drop = f", voltage drop {volts_lost(row.drop)}" if row.drop is not None else ""
    return f"{quantity(abs(load.amperes), 'A')} in {shown(str(load.flown))}{limit}{drop}"


def _routing(load: WireLoad, allowed: Allowed) -> str:
    bundle = "alone"
    if allowed.around.wires > 1:
        used = f"{100 * load.bundle_used:.0f} % used"
        bundle = f"bundle {shown(allowed.bundle)} of {allowed.around.wires} wires, {used}"
    known = "" if allowed.ambient.known else " (hottest zone: the wire has no zone in the file)"
    ambient = quantity(allowed.ambient.celsius, "C")
    return f"{bundle}; zone {shown(allowed.ambient.zone)}, ambient {ambient}{known}"


def _load(design: Design, row: LoadRow, table: WireTable, width: int) -> Iterator[str]:
    yield from lines_of(f"- {shown(row.load)}", width, 2, 4)
    part = design.parts[row.load]
    if row.continuous is not None:
        state, run = row.continuous
        starter = getattr(part, "type", None) == "starter"
        limit = "" if starter else f"limit {quantity(table.continuous.value, 'V')}, "
        yield from labelled("continuous", _drop(run, limit, state), width)
    if row.peak is not None:
        limit = f"limit {quantity(table.intermittent.value, 'V')}, {table.intermittent.origin}, "
        yield from labelled("peak", _drop(row.peak.run, limit, str(row.peak.place)), width)
    if row.lowest is not None:
        state, volts = row.lowest
        minimum = (
            f"minimum {quantity(part.minimum, 'V')}" if part.minimum is not None else "`minimum` not given"
        )
        yield from labelled("lowest", f"{quantity(volts, 'V')} in {shown(state)}, {minimum}", width)
    if row.continuous is None and row.peak is None:
        yield from labelled("continuous", "no current in the declared states", width)
    for missing in row.missing:
        yield from labelled("missing data", shown(missing), width)


def _drop(run: CircuitRun, limit: str, state: str) -> str:
    shares = sorted((*run.out, *run.back), key=lambda share: (-round(share[1], 4), share[0]))[:3]
    largest = ", ".join(
        f"{_name(element)} {quantity(volts, 'V')}" for element, volts in shares if volts >= 0.005
    )
    diodes = f", plus {quantity(run.diode_volts, 'V')} in {run.dropped_by}" if run.diodes else ""
    where = f"at {quantity(run.amperes, 'A')} in {shown(state)} from {_name(run.begins)}"
    return f"{quantity(run.volts, 'V')}{diodes}, {limit}{where}" + (
        f"; largest: {largest}" if largest else ""
    )


def _name(element: str) -> str:
    return shown(bare(element))
