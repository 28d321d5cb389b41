"""Voltages and currents of a state for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity, volts_lost
from reviewer.network.graph import bare
from reviewer.questions.solve import OperatingPoint, PathCurrent, SolvedPhase, SolvedState, SourceOutput
from reviewer.reports.layout import NARROWEST, caution_lines, headed, lines_of
from reviewer.reports.sneak_words import sneak_sentences
from reviewer.reports.solve import words as words
from reviewer.reports.solve.words import amperes, volts
from reviewer.reports.wording import in_state, shown

NAME, FEWEST = 24, 4
#: volts that are shown as no power, where only a leak goes with them
LEAST_V = 0.05


def solve_text(file: str, design: Design, answer: SolvedState, width: int = 100) -> str:
    """The whole answer, the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: voltages and currents in {shown(answer.state)}", width)
    lines += lines_of(f"State: {in_state(answer.state, answer.switches)}.", width)
    if answer.failed:
        failed = and_list([failure_words(*failure) for failure in answer.failed])
        lines += lines_of(f"Failed: {failed}.", width)
    if answer.starting:
        lines += lines_of(f"Starting: {and_list([shown(name) for name in answer.starting])}.", width)
    lines += lines_of(shown(words.charge_words(answer)), width)
    for sentence in sneak_sentences(answer.sneaks):
        lines += lines_of(sentence, width)
    for solved in answer.phases:
        lines += ["", *_phase(design, solved, width)]
    for name, phases in answer.beside:
        lines += ["", f"In {shown(name)}"]
        for solved in phases:
            lines += ["", *_phase(design, solved, width)]
    lines += ["", "Notes"]
    for sentence in words.notes(answer):
        lines += lines_of(f"- {shown(sentence)}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _phase(design: Design, solved: SolvedPhase, width: int) -> Iterator[str]:
    if solved.phase:
        yield f"Phase {shown(solved.phase)}"
    elif solved.currents_of:
        yield from lines_of(
            f"No phase has this state: the loads draw their currents of {shown(solved.currents_of)}", width
        )
    else:
        yield "No phase has this state: each load draws its largest current"
    if solved.point is None:
        yield from lines_of(f"Not solved. Missing data: {shown(solved.needs)}.", width, 2)
        return
    for title, rows in _sections(design, solved, solved.point):
        yield from ("", f"  {title}")
        for name, text in rows:
            row = f"{shown(name):<{NAME - 1}} {text}" if text else shown(name)
            yield from lines_of(row, width, 4, 4 + NAME)


def failure_words(element: str, words: str) -> str:
    """``left-fuse open``."""
    return f"{shown(bare(element))} {shown(words)}"


Rows = list[tuple[str, str]]


def _sections(design: Design, solved: SolvedPhase, point: OperatingPoint) -> Iterator[tuple[str, Rows]]:
    wires = [path for path in solved.paths if path.element.startswith("wires/")]
    parts = [path for path in solved.paths if path not in wires]
    buses = design.of_kind(p.Bus)
    sections: tuple[tuple[str, Rows], ...] = (
        ("Sources", list(map(_source, solved.sources))),
        ("Loads", [_load(design, point, element) for element in point.taken]),
        ("Monitors", [(name, _monitor(design, point, name)) for name in point.readings]),
        ("Buses", [(name, volts(None if name in point.dead else point.volts.get(name))) for name in buses]),
        ("Fields of alternators, inputs of converters and chargers", _supplying(point)),
        ("Coils", [(bare(element), amperes(abs(amps))) for element, amps in point.coils.items()]),
        ("Contacts, circuit protection, shunts, diodes, pins", [_path(point, path) for path in parts]),
        ("Wires", [_path(point, path) for path in wires]),
        ("Typical values used", [(one, "") for one in _typical(solved)]),
        ("Missing data", list(_missing(point))),
    )
    yield from ((title, rows) for title, rows in sections if rows)


def _source(source: SourceOutput) -> tuple[str, str]:
    verb = "supplies" if source.amperes >= 0 else "charged at"
    none = source.volts is None or _nothing(source.volts, source.amperes)
    across = volts(None if none else source.volts)
    return bare(source.element), f"{across}, {verb} {amperes(abs(source.amperes))}"


def _nothing(across: float, drawn: float) -> bool:
    return abs(across) < LEAST_V and abs(drawn) < words.LEAK_A


def _load(design: Design, point: OperatingPoint, element: str) -> tuple[str, str]:
    part = design.parts[bare(element)]
    across, drawn = point.across.get(element, 0.0), point.taken[element]
    if _nothing(across, drawn):
        return bare(element), "no power, or no current"
    limits = [
        f"{word} {quantity(limit, 'V')}"
        for word, limit in (("minimum", part.minimum), ("maximum", part.maximum))
        if limit is not None
    ]
    sign = point.turned(element)
    text = f"{volts(sign * across, part.minimum, part.maximum)}, {amperes(sign * drawn)}" + (
        ", runs in reverse" if sign < 0 else ""
    )
    return bare(element), text + (f" ({', '.join(limits)})" if limits else "")


def _supplying(point: OperatingPoint) -> Rows:
    return [(bare(element), amperes(amps)) for element, amps in point.supplying.items()]


def _monitor(design: Design, point: OperatingPoint, name: str) -> str:
    own = design.watch.monitors[name]
    on = own.displayed_on
    return words.reading_words(point.readings[name], own.alarm_below, own.alarm_above) + (
        f" on {shown(on)}" if on else ""
    )


def _path(point: OperatingPoint, path: PathCurrent) -> tuple[str, str]:
    name = bare(path.element)
    ends = ""
    if not path.element.startswith("wires/"):
        ends = shown(f"{path.a.partition('.')[2]} to {path.b.partition('.')[2]}: ")
    if path.a in point.dead and path.b in point.dead:
        return name, f"{ends}dead"
    if path.drop is None:
        live = volts(path.volts_a if path.volts_b is None else path.volts_b)
        return name, f"{ends}open, {live} at its {'first' if path.volts_b is None else 'second'} end"
    current = words.UNDETERMINED if path.amperes is None else amperes(path.amperes)
    drop = f"drop {volts_lost(path.drop)}"
    return name, f"{ends}{current}, {volts(path.volts_a)} to {volts(path.volts_b)}, {drop}"


def _typical(solved: SolvedPhase) -> Iterator[str]:
    for one in solved.typical:
        names = [shown(words.bare_name(e)) for e in one.elements]
        few = names if len(names) <= FEWEST else [*names[:FEWEST], f"{len(names) - FEWEST} more"]
        yield f"{one}: {and_list(few)}"


def _missing(point: OperatingPoint) -> Iterator[tuple[str, str]]:
    for lacking, solved in ((point.unsized, words.IDEAL_JOINT), (point.undrawn, words.NO_CURRENT)):
        for element, key in lacking.items():
            yield bare(element), f"{shown(key)} is missing; {solved}"
