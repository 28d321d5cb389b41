"""Volts and amperes of a state as comma-separated values (RFC 4180), for a spreadsheet, and as versioned JSON, for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reviewer.analysis.operating_point.carried import SolvedPhase, SolvedState, carried
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.questions.fail import kind_of
from reviewer.reports.csv import csv_of
from reviewer.reports.handoff.schedules.operating_tables import reading_words
from reviewer.reports.review.json import beginning, dumped
from reviewer.reports.solve.text import LIMITS
from reviewer.reports.wording import shown

FORMAT = "circuit-operating-points/1"
COLUMNS = ("state", "phase", "kind", "name", "from", "to", "volts", "amperes", "reading", "note")
Row = tuple[str, str, str, str, float | None, float | None, str, str]


def solve_csv(design: Design, network: Network, answer: SolvedState) -> str:
    """A row a terminal, source, load, coil, way of current and monitor under a row of :data:`COLUMNS`; volts of a way are its drop.

    A text that a spreadsheet would take for a formula begins with an apostrophe."""
    rows = (
        (answer.state, solved.phase or "", *row)
        for solved in answer.phases
        for row in _rows(design, network, solved)
    )
    return csv_of(
        COLUMNS, ([shown(cell) if isinstance(cell, str) else _rounded(cell) for cell in row] for row in rows)
    )


def _rows(design: Design, network: Network, solved: SolvedPhase) -> Iterator[Row]:
    point = solved.point
    if point is None:
        yield "not solved", "", "", "", None, None, "", f"needed: {solved.needs}"
        return
    for terminal in network.names:
        yield (
            "terminal",
            terminal,
            "",
            "",
            point.volts.get(terminal),
            None,
            "",
            "" if terminal in point.volts else "dead",
        )
    for source in _sources(network, point):
        yield (
            "source",
            bare(source["element"]),
            "",
            "",
            source["volts"],
            source["amperes"],
            "",
            "amperes given",
        )
    for element, amps in point.taken.items():
        yield "load", bare(element), "", "", point.across.get(element, 0.0), amps, "", "volts across"
    for element, amps in point.coils.items():
        yield "coil", bare(element), "", "", None, amps, "", ""
    for way in carried(design, network, point):
        note = "shares a ring of ideal joints" if way.amperes is None else ""
        yield kind_of(design, way.element), bare(way.element), way.a, way.b, way.drop, way.amperes, "", note
    for name in point.readings:
        on = design.watch.monitors[name].on
        yield "monitor", name, "", "", None, None, reading_words(point, name), f"on {on}" if on else ""
    for one in point.assumed:
        yield (
            "typical value",
            one.what,
            "",
            "",
            None,
            None,
            one.figure,
            f"{one.rests_on}; for {', '.join(map(_bare, one.elements))}",
        )
    for lacking, words in (
        (point.unsized, "solved as an ideal joint"),
        (point.undrawn, "solved as drawing nothing"),
    ):
        for element, key in lacking.items():
            yield "not known", bare(element), "", "", None, None, "", f"the file lacks {key}; {words}"


def solve_json(file: str, design: Design, network: Network, answer: SolvedState) -> str:
    """The whole answer; ``schemas/operating-points.schema.json`` describes it."""
    return dumped(
        {
            **beginning(FORMAT, file, design),
            "state": answer.state,
            "switches": dict(answer.switches),
            "failed": [{"element": element, "failure": words} for element, words in answer.failed],
            "starting": list(answer.starting),
            "limits": list(LIMITS),
            "not_solved": [
                {"phase": solved.phase, "needs": solved.needs}
                for solved in answer.phases
                if solved.point is None
            ],
            "points": [
                _point(design, network, solved.phase, solved.point)
                for solved in answer.phases
                if solved.point is not None
            ],
        }
    )


def _point(design: Design, network: Network, phase: str | None, point: OperatingPoint) -> dict[str, Any]:
    return {
        "phase": phase,
        "terminals": {name: _rounded(point.volts.get(name)) for name in network.names},
        "sources": _sources(network, point),
        "loads": [
            {"element": e, "volts": _rounded(point.across.get(e, 0.0)), "amperes": _rounded(a)}
            for e, a in point.taken.items()
        ],
        "coils": [{"element": e, "amperes": _rounded(a)} for e, a in point.coils.items()],
        "carried": [
            {
                "element": w.element,
                "from": w.a,
                "to": w.b,
                "volts": _rounded(w.drop),
                "amperes": _rounded(w.amperes),
            }
            for w in carried(design, network, point)
        ],
        "monitors": [
            {
                "monitor": r.monitor,
                "shows": r.shows,
                "value": _rounded(r.value),
                "blank": r.blank,
                "reading": reading_words(point, r.monitor),
            }
            for r in point.readings.values()
        ],
        "assumed": [
            {
                "what": a.what,
                "value": a.value,
                "unit": a.unit,
                "rests_on": a.rests_on,
                "elements": list(a.elements),
            }
            for a in point.assumed
        ],
        "without_a_size": dict(point.unsized),
        "without_a_current": dict(point.undrawn),
        "imbalance": point.balance,
    }


def _sources(network: Network, point: OperatingPoint) -> list[dict[str, Any]]:
    found = []
    for source in network.sources:
        plus, minus = (point.volts.get(network.names[n]) for n in (source.positive, source.negative))
        across = None if plus is None or minus is None else plus - minus
        found.append(
            {
                "element": source.element,
                "volts": _rounded(across),
                "amperes": _rounded(point.given[source.element]),
            }
        )
    return found


def _rounded(value: float | None) -> float | None:
    """Six decimals: a microampere, a microvolt; no minus nought."""
    return None if value is None or value != value else round(value, 6) + 0.0


def _bare(element: str) -> str:
    return bare(element) if "/" in element else element
