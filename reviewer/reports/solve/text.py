"""Volts and amperes of a state for a terminal: sources, loads, monitors, buses, what each part and wire carries, and what the figures rest on."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.operating_point.carried import Carried, SolvedState, carried
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.reports.handoff.schedules.operating_tables import reading_words
from reviewer.reports.layout import NARROWEST, caution_lines, headed, lines_of
from reviewer.reports.wording import and_list, in_state, shown

LIMITS: tuple[str, ...] = (
    "Volts count from the negative of the main battery; `across` is from supply to return. Wires and parts count from their first terminal to the second.",
    "On the ground the engine idles, else it runs as in flight; batteries have the charge that the file gives, or are full; they do not discharge while solved.",
    "Currents are averages. No limit is judged here; `review` does that.",
)
NAME, FEWEST = 24, 4
#: volts and amperes that are shown as nothing
LEAST = 0.0005


def solve_text(file: str, design: Design, network: Network, answer: SolvedState, width: int = 100) -> str:
    """The whole answer, the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: volts and amperes in {shown(answer.state)}", width)
    lines += lines_of(f"State: {in_state(answer.state, answer.switches)}.", width)
    if answer.failed:
        lines += lines_of(
            f"Failed: {and_list([failure_words(*failure) for failure in answer.failed])}.", width
        )
    if answer.starting:
        lines += lines_of(f"Just starting: {and_list([shown(name) for name in answer.starting])}.", width)
    for solved in answer.phases:
        lines += [
            "",
            f"Phase {shown(solved.phase)}"
            if solved.phase
            else "No phase is flown in this state: each load takes its largest current",
        ]
        if solved.point is None:
            lines += lines_of(f"Not solved. Needed: {shown(solved.needs)}.", width, 2)
            continue
        for title, rows in _sections(design, network, solved.point):
            lines += ["", f"  {title}"]
            for name, text in rows:
                lines += lines_of(
                    f"{shown(name):<{NAME - 1}} {text}" if text else shown(name), width, 4, 4 + NAME
                )
    lines += ["", "Read it so"]
    for sentence in LIMITS:
        lines += lines_of(f"- {sentence}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def failure_words(element: str, words: str) -> str:
    """``left-fuse open``."""
    return f"{shown(bare(element))} {shown(words)}"


Rows = list[tuple[str, str]]


def _sections(design: Design, network: Network, point: OperatingPoint) -> Iterator[tuple[str, Rows]]:
    sections = (
        ("Sources", [_source(network, point, i) for i in range(len(network.sources))]),
        ("Loads", [_load(design, point, element) for element in point.taken]),
        ("Monitors", [(name, _monitor(design, point, name)) for name in point.readings]),
        ("Buses", [(name, volts(point.volts.get(name))) for name in design.of_kind(p.Bus)]),
        ("Coils", [(bare(element), f"takes {amperes(abs(amps))}") for element, amps in point.coils.items()]),
    )
    ways = list(carried(design, network, point))
    wires = [way for way in ways if way.element.startswith("wires/")]
    parts = [way for way in ways if way not in wires]
    more = (
        ("Contacts, protectors, shunts, diodes, pins", list(map(_way, parts))),
        ("Wires", list(map(_way, wires))),
    )
    told = (
        ("Typical values it rests on", [(one, "") for one in _assumed(point)]),
        ("Not known", list(_unknown(point))),
    )
    yield from ((title, rows) for title, rows in (*sections, *more, *told) if rows)


def _source(network: Network, point: OperatingPoint, index: int) -> tuple[str, str]:
    source = network.sources[index]
    given = point.given[source.element]
    plus, minus = (point.volts.get(network.names[n]) for n in (source.positive, source.negative))
    across = "dead" if plus is None or minus is None else f"{volts(plus - minus)} across"
    return bare(source.element), f"{across}, {'gives' if given >= 0 else 'takes'} {amperes(abs(given))}"


def _load(design: Design, point: OperatingPoint, element: str) -> tuple[str, str]:
    part = design.parts[bare(element)]
    across, taken = point.across.get(element, 0.0), point.taken[element]
    if abs(across) < LEAST and abs(taken) < LEAST:
        return bare(element), "no power, or draws nothing"
    window = [
        f"{word} {limit:g} V"
        for word, limit in (("from", part.minimum), ("to", part.maximum))
        if limit is not None
    ]
    return bare(element), f"{volts(across)} across, takes {amperes(taken)}" + (
        f"; works {' '.join(window)}" if window else ""
    )


def _monitor(design: Design, point: OperatingPoint, name: str) -> str:
    on = design.watch.monitors[name].on
    return reading_words(point, name) + (f" on {shown(on)}" if on else "")


def _way(way: Carried) -> tuple[str, str]:
    name = bare(way.element)
    ends = (
        ""
        if way.element.startswith("wires/")
        else f"{way.a.partition('.')[2]} to {way.b.partition('.')[2]}: "
    )
    if way.volts_a is None and way.volts_b is None:
        return name, f"{shown(ends)}dead"
    if way.drop is None:
        return (
            name,
            f"{shown(ends)}open, {volts(way.volts_a)} at its {'first' if way.volts_b is None else 'second'} end",
        )
    carries = "shares a ring of ideal joints" if way.amperes is None else amperes(way.amperes)
    return (
        name,
        f"{shown(ends)}{carries}, {volts(way.volts_a)} to {volts(way.volts_b)}, drop {round(way.drop, 4) + 0.0:.4f} V",
    )


def _assumed(point: OperatingPoint) -> Iterator[str]:
    for one in point.assumed:
        names = [shown(bare(e) if "/" in e else e) for e in one.elements]
        few = names if len(names) <= FEWEST else [*names[:FEWEST], f"{len(names) - FEWEST} more"]
        yield f"{one}: {and_list(few)}"


def _unknown(point: OperatingPoint) -> Iterator[tuple[str, str]]:
    for lacking, words in (
        (point.unsized, "solved as an ideal joint"),
        (point.undrawn, "solved as drawing nothing"),
    ):
        for element, key in lacking.items():
            yield bare(element), f"the file lacks {shown(key)}; {words}"


def volts(value: float | None) -> str:
    """``14.35 V``, or that nothing live reaches it."""
    return "dead" if value is None else f"{round(value, 3) + 0.0:.3f} V"


def amperes(value: float) -> str:
    """``1.48 A``."""
    return f"{round(value, 3) + 0.0:.3f} A"
