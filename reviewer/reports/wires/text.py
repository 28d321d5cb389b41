"""The list of wires for a terminal: those nearest to what they may carry first; then the loads, those on whose way most is lost first."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.wiring.voltage_drop import Run
from reviewer.model.design import Design
from reviewer.questions.wires import LoadRow, WireRow, WireTable
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.wires.table import name_of, protector_words, unprotected_words
from reviewer.reports.wording import counted, shown
from reviewer.tables.lookup import protection_basis
from reviewer.tables.wire_tables import ampacity_basis

#: less than this is told as no current
_NO_CURRENT_A = 0.001


def wires_text(file: str, design: Design, table: WireTable, width: int = 100) -> str:
    """The whole table, the basis and the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: wires", width)
    lines += lines_of(f"{counted(len(table.wires), 'wire')}, {counted(len(table.loads), 'load')}.", width)
    for note in table.lacks:
        lines += lines_of(f"Not assessed: {shown(note)}.", width, 0, 2)
    told = [row for row in table.wires if row.load is not None and abs(row.load.amperes) >= _NO_CURRENT_A]
    rest = [row for row in table.wires if row not in told]
    for title, rows in (
        ("Wires, the hardest loaded first", sorted(told, key=_hardest)),
        ("Wires without a current", rest),
    ):
        if rows:
            lines += ["", f"{title}: {len(rows)}"]
            for row in rows:
                lines += _wire(design, row, width)
    if table.loads:
        lines += ["", f"Drop from the bus to each load and back, the largest first: {len(table.loads)}"]
        for load in sorted(table.loads, key=lambda row: -(row.usual[1].volts if row.usual else -1.0)):
            lines += _load(design, load, table, width)
    lines += ["", "Basis"]
    for sentence in (ampacity_basis(), protection_basis(), *_typical(table)):
        lines += lines_of(f"- {shown(sentence)}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _typical(table: WireTable) -> Iterator[str]:
    if table.typical:
        yield f"Typical values that are not in the file: {'; '.join(table.typical)}."


def _hardest(row: WireRow) -> float:
    return float("-inf") if row.share is None else -row.share


def _wire(design: Design, row: WireRow, width: int) -> Iterator[str]:
    wire, load, allowed = design.wires[row.wire], row.load, row.allowed
    size = ", ".join(
        [str(wire.gauge or "no gauge"), f"{wire.length:g} m" if wire.length is not None else "no length"]
    )
    yield from lines_of(f"- {shown(row.wire)}, {size}, {shown(wire.from_)} to {shown(wire.to)}", width, 2, 4)
    if load is not None:
        may = (
            f" of {allowed.ampacity.amperes:.1f} A ({100 * row.share:.0f} %)"
            if allowed and row.share is not None
            else ""
        )
        drop = f", {row.drop:.2f} V lost on it" if row.drop is not None else ""
        yield from labelled(
            "carries", f"{abs(load.amperes):.2f} A{may} in {shown(str(load.flown))}{drop}", width
        )
    if row.cranking is not None and load is not None and row.cranking >= max(1.0, 1.1 * abs(load.amperes)):
        yield from labelled("cranking", f"{row.cranking:.0f} A, for seconds", width)
    if allowed is not None and load is not None:
        bundle = (
            f"bundle {shown(allowed.bundle)} of {allowed.around.wires}, {load.bundle_used:.0%} used"
            if allowed.around.wires > 1
            else "alone"
        )
        doubt = "" if allowed.ambient.known else ", the hottest zone, for want of its own"
        yield from labelled(
            "runs", f"{bundle}; {shown(allowed.ambient.zone)}, {allowed.ambient.celsius:g} C{doubt}", width
        )
    for protector in row.protectors:
        yield from labelled("protector", protector_words(protector), width)
    for sentence in unprotected_words(row):
        yield from labelled("none at", sentence, width)
    for lack in row.lacks:
        yield from labelled("needs", shown(lack), width)


def _load(design: Design, row: LoadRow, table: WireTable, width: int) -> Iterator[str]:
    yield from lines_of(f"- {shown(row.load)}", width, 2, 4)
    part = design.parts[row.load]
    if row.usual is not None:
        state, run = row.usual
        limit = "" if getattr(part, "type", None) == "starter" else f" of {table.continuous.value:g} V"
        yield from labelled("usual", f"{_lost(run, limit)} in {shown(state)}", width)
    if row.peak is not None:
        limit = f" of {table.short.value:g} V, {table.short.origin},"
        yield from labelled("peak", f"{_lost(row.peak.run, limit)} in {shown(str(row.peak.place))}", width)
    if row.least is not None:
        needs = f", works from {part.minimum:g} V" if part.minimum is not None else ", `minimum` not given"
        yield from labelled("has least", f"{row.least[1]:.2f} V in {shown(row.least[0])}{needs}", width)
    if row.usual is None and row.peak is None:
        yield from labelled("usual", "no current in the declared states", width)
    for lack in row.lacks:
        yield from labelled("needs", shown(lack), width)


def _lost(run: Run, limit: str) -> str:
    shares = sorted((*run.out, *run.back), key=lambda share: (-round(share[1], 4), share[0]))[:3]
    most = ", ".join(f"{name_of(element)} {volts:.2f} V" for element, volts in shares if volts >= 0.005)
    diodes = f", and {run.diode_volts:.2f} V in diodes, which is no wire drop" if run.diodes else ""
    return f"{run.volts:.2f} V{limit} at {run.amperes:.2f} A from {name_of(run.begins)}{f' ({most})' if most else ''}{diodes}"
