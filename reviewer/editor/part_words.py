"""What an editor shows of a part or wire: what it has and takes in the normal state, and what feeds it."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.facts import Facts
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import bare
from reviewer.questions.naming import NoAnswer, state_named
from reviewer.questions.solve import SolvedPhase, solved_of
from reviewer.questions.trace import trace_of
from reviewer.reports.solve.words import amperes, bare_name, volts

#: paths of a part that are shown
_SHOWN = 6


def part_words(facts: Facts, name: str) -> str:
    """Volts and amperes of a part or wire in the normal state by phase, and what feeds it, as lines of
    Markdown; where they cannot be solved, what is missing. Raises NoAnswer where no state is declared."""
    lines: list[str] = []
    normal = state_named(facts, None).state.name
    if name in facts.design.parts:
        lines += _fed(facts, name, normal)
    try:
        solved = solved_of(facts, normal)
    except NoAnswer as missing:
        return "\n\n".join([*lines, str(missing)])
    element = f"{'parts' if name in facts.design.parts else 'wires'}/{name}"
    for phase in solved.phases:
        where = f"{solved.state}, {phase.phase}" if phase.phase not in (None, solved.state) else solved.state
        for words in dict.fromkeys(_words(phase, element)):
            lines.append(f"{where}: {words}")
    return "\n\n".join(dict.fromkeys(lines))


def _fed(facts: Facts, name: str, state_name: str) -> Iterator[str]:
    try:
        trace = trace_of(facts, name, state_name)
    except NoAnswer:
        return
    for state in trace.states:
        if state.by:
            yield f"{state.state}: powered by {and_list([*map(bare_name, state.by)])}"
        elif state.works is False:
            yield f"{state.state}: not powered"


def _words(phase: SolvedPhase, element: str) -> Iterator[str]:
    if phase.point is None:
        yield f"not solved; missing data: {phase.needs}"
        return
    for source in phase.sources:
        if source.element == element:
            gives = "takes" if round(source.amperes, 4) < 0 else "supplies"
            yield f"{volts(source.volts)}, {gives} {amperes(abs(source.amperes))}"
    if element in phase.point.taken:
        sign = phase.point.turned(element)
        across, amps = phase.point.across.get(element, 0.0), phase.point.taken[element]
        yield f"{volts(sign * across)} from supply to return, takes {amperes(sign * amps)}"
    paths = [path for path in phase.paths if path.element == element]
    for path in paths[:_SHOWN]:
        drop = "" if path.drop is None else f", drop {quantity(path.drop, 'V', digits=3)}"
        amps_words = "" if path.amperes is None else f", {amperes(path.amperes)}"
        between = f"{path.a} to {path.b}: " if paths[1:] else ""
        yield f"{between}{volts(path.volts_a)}{amps_words}{drop}"
    terminals = {
        terminal: value
        for terminal, value in phase.point.volts.items()
        if terminal.partition(".")[0] == bare(element)
    }
    is_source = any(one.element == element for one in phase.sources)
    if not paths and not is_source and element not in phase.point.taken and terminals:
        known = dict.fromkeys(volts(value) for value in terminals.values())
        yield " and ".join([*known][:_SHOWN])
