"""Voltages and currents of a state as comma-separated values (RFC 4180) and as versioned JSON."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.naming import kind_of
from reviewer.questions.solve import OperatingPoint, PathCurrent, SolvedPhase, SolvedState
from reviewer.reports.csv import csv_of
from reviewer.reports.documents.operating_points_document import (
    OperatingPointsDocument,
    PathEntry,
    PointEntry,
    SolvedPhases,
)
from reviewer.reports.review.json import beginning, dumped, number, rounded
from reviewer.reports.sneak_words import sneak_sentences
from reviewer.reports.solve import words as words

FORMAT: Final = "circuit-operating-points/1"
COLUMNS = ("state", "phase", "kind", "name", "from", "to", "volts", "amperes", "reading", "note")
Row = tuple[str, str, str, str, float | None, float | None, str, str]


def solve_csv(design: Design, answer: SolvedState) -> str:
    """A row for each terminal, source, load, coil, path and monitor under a row of :data:`COLUMNS`.

    Volts of a path are its voltage drop.
    """
    rows = (
        (state, solved.phase or "", *row)
        for state, phases in ((answer.state, answer.phases), *answer.beside)
        for solved in phases
        for row in _rows(design, answer, solved)
    )
    return csv_of(
        COLUMNS, ([cell if isinstance(cell, str) else rounded(cell) for cell in row] for row in rows)
    )


def _rows(design: Design, answer: SolvedState, solved: SolvedPhase) -> Iterator[Row]:
    point = solved.point
    if point is None:
        yield "not solved", "", "", "", None, None, "", f"missing data: {solved.needs}"
        return
    for terminal in answer.terminals:
        volts = point.volts.get(terminal)
        yield "terminal", terminal, "", "", volts, None, "", "dead" if terminal in point.dead else ""
    for source in solved.sources:
        yield "source", bare(source.element), "", "", source.volts, source.amperes, "", "output current"
    for element, amps in point.taken.items():
        sign = point.turned(element)
        volts = sign * point.across.get(element, 0.0)
        yield "load", bare(element), "", "", volts, sign * amps, "", "supply to return"
    for element, amps in point.coils.items():
        yield "coil", bare(element), "", "", None, amps, "", ""
    for element, amps in point.supplying.items():
        yield "source input", bare(element), "", "", None, amps, "", ""
    for path in solved.paths:
        note = words.UNDETERMINED if path.amperes is None else ""
        kind, name = kind_of(design, path.element), bare(path.element)
        yield kind, name, path.a, path.b, path.drop, path.amperes, "", note
    for name, reading in point.readings.items():
        on = design.watch.monitors[name].displayed_on
        yield "monitor", name, "", "", None, None, words.reading_words(reading), f"on {on}" if on else ""
    yield from _assumptions(solved, point)


def _assumptions(solved: SolvedPhase, point: OperatingPoint) -> Iterator[Row]:
    for one in solved.typical:
        note = f"{one.rests_on}; for {', '.join(map(words.bare_name, one.elements))}"
        yield "typical value", one.what, "", "", None, None, one.figure, note
    for lacking, so in ((point.unsized, words.IDEAL_JOINT), (point.undrawn, words.NO_CURRENT)):
        for element, key in lacking.items():
            note = f"{key} is missing; {so}"
            yield "missing data", bare(element), "", "", None, None, "", note


def solve_json(file: str, design: Design, answer: SolvedState) -> str:
    """The whole answer; ``schemas/operating-points.schema.json`` describes it."""
    document: OperatingPointsDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "state": answer.state,
        "switches": dict(answer.switches),
        "failed": [{"element": element, "failure": failure} for element, failure in answer.failed],
        "starting": list(answer.starting),
        "batteries": {
            "after_normal_flight": answer.after_flight,
            "state_of_charge": dict(answer.charges),
            "unknown": answer.unknown_charge,
        },
        "notes": list(words.notes(answer)),
        "sneak_currents": sneak_sentences(answer.sneaks),
        **_phases(answer, answer.phases),
        "with_relays_still_energised": [
            {"state": name, **_phases(answer, phases)} for name, phases in answer.beside
        ],
    }
    return dumped(document)


def _phases(answer: SolvedState, phases: Sequence[SolvedPhase]) -> SolvedPhases:
    return {
        "not_solved": [{"phase": one.phase, "needs": one.needs} for one in phases if one.point is None],
        "points": [_point(answer, one, one.point) for one in phases if one.point is not None],
    }


def _point(answer: SolvedState, solved: SolvedPhase, point: OperatingPoint) -> PointEntry:
    return {
        "phase": solved.phase,
        "terminals": {name: rounded(point.volts.get(name)) for name in answer.terminals},
        "sources": [
            {"element": s.element, "volts": rounded(s.volts), "amperes": number(s.amperes)}
            for s in solved.sources
        ],
        "loads": [
            {
                "element": e,
                "volts": number(point.turned(e) * point.across.get(e, 0.0)),
                "amperes": number(point.turned(e) * a),
            }
            for e, a in point.taken.items()
        ],
        "coils": [{"element": e, "amperes": number(a)} for e, a in point.coils.items()],
        "source_inputs": [{"element": e, "amperes": number(a)} for e, a in point.supplying.items()],
        "paths": list(map(_path, solved.paths)),
        "monitors": [
            {
                "monitor": r.monitor,
                "shows": r.shows,
                "value": rounded(r.value),
                "blank": r.blank,
                "reading": words.reading_words(r),
            }
            for r in point.readings.values()
        ],
        "typical_values": [
            {
                "what": a.what,
                "value": a.value,
                "unit": a.unit,
                "source": a.rests_on,
                "elements": list(a.elements),
            }
            for a in solved.typical
        ],
        "solved_as_ideal_joints": dict(point.unsized),
        "solved_without_current": dict(point.undrawn),
        "imbalance": point.balance,
    }


def _path(path: PathCurrent) -> PathEntry:
    return {
        "element": path.element,
        "from_terminal": path.a,
        "to_terminal": path.b,
        "volts": rounded(path.drop),
        "amperes": rounded(path.amperes),
    }
