"""The title block and the notes of the design file, which no other schedule prints."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model.design import Design
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.title_rows import title_rows


def notes(design: Design) -> Schedule | None:
    """The title block, every note of the file in its order, the reason for each excluded combination.

    None where there are none. The notes of wires are in the wire list.
    """
    rows = tuple(_rows(design))
    if not rows:
        return None
    about = (
        "Title block and notes of the design file, and what prevents each excluded combination of switch "
        "positions. The notes of wires are in the wire list."
    )
    return Schedule("notes", "Notes", about, ("of a", "name", "note"), rows)


def _rows(design: Design) -> Iterator[tuple[str, str, str]]:
    yield from (("title block", what, value) for what, value in title_rows(design.aircraft) if value)
    if design.aircraft.note:
        yield "aircraft", design.aircraft.name, design.aircraft.note
    operation = design.operation
    groups = {
        "zone": design.aircraft.zones,
        "part": design.parts,
        "function": design.functions,
        "state": operation.states if operation else {},
        "phase": operation.phases if operation else {},
        "action": operation.actions if operation else {},
        "monitor": design.watch.monitors,
    }
    for group, pieces in groups.items():
        yield from ((group, name, piece.note) for name, piece in pieces.items() if piece.note)
    for exclusion in operation.excluded if operation else ():
        positions = ", ".join(f"{switch} at {at}" for switch, at in exclusion.switches.items())
        yield "excluded combination", positions, exclusion.because
