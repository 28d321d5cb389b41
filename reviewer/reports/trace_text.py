"""A trace for a terminal: state by state, the supply and return paths of a part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import bare
from reviewer.questions.trace import (
    RETURN,
    SEARCH_LIMIT,
    StateTrace,
    Trace,
    TracedPath,
    TracedPaths,
    TracedTerminal,
)
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.sneak_words import sneak_sentences
from reviewer.reports.wording import counted, element_words, shown

SCOPE = "With nothing failed. A path is listed if it conducts, whatever current flows in it."


def trace_text(file: str, design: Design, trace: Trace, width: int = 100) -> str:
    """The whole trace; states that are alike stand together."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: {shown(trace.target)}, {trace.kind}", width)
    lines += lines_of(SCOPE, width)
    for sentence in sneak_sentences(trace.sneaks):
        lines += lines_of(sentence, width)
    for states, first in _alike(trace.states):
        lines += ["", *_state(design, trace, states, first, width)]
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _alike(states: Sequence[StateTrace]) -> Iterator[tuple[list[str], StateTrace]]:
    """States in which everything that is traced is the same, with the first of them."""
    groups: list[tuple[list[str], StateTrace]] = []
    for state in states:
        for names, first in groups:
            if replace(state, state=first.state) == first:
                names.append(state.state)
                break
        else:
            groups.append(([state.state], state))
    yield from groups


def _state(
    design: Design, trace: Trace, names: Sequence[str], state: StateTrace, width: int
) -> Iterator[str]:
    yield from lines_of(f"In {and_list([*map(shown, names)])}: {_verdict(design, trace, state)}.", width)
    if state.unsettled:
        yield from lines_of(
            "The relays do not settle in this state; one of their combinations is shown.",
            width,
            2,
        )
    for terminal in state.terminals:
        yield from _terminal(design, state, terminal, width)
    if state.grounding:
        yield from labelled("grounded by", path_words(state.grounding), width, 4)


def _verdict(design: Design, trace: Trace, state: StateTrace) -> str:
    if state.grounding is not None:
        hot = (
            "fires" if state.works else "not turning; not grounded: it fires as soon as the engine is turned"
        )
        return "grounded" if state.grounding else hot
    if state.works is None:
        dead = [t for t in state.terminals if t.dead]
        return "dead" if len(dead) == len(state.terminals) else "partly dead" if dead else "live"
    if "." not in trace.target and f"parts/{trace.target}" in _sources(state) and not state.by:
        return "supplies power" if state.works else "supplies no power"
    if trace.kind == "mechanical":
        return "works" if state.works else "does not work"
    coil = trace.kind in ("relay", "contactor")
    word = "energised" if coil else "powered"
    if not state.works:
        return f"not {word}" + (": its supply and its return are reversed" if state.reversed else "")
    by = [*map(element_words, state.by)] or ["a sneak current"]
    return f"{word} by {and_list(by, 'or')}" + (", runs in reverse" if state.reversed else "")


def _sources(state: StateTrace) -> set[str]:
    return {paths.source for t in state.terminals for paths in (*t.fed, *t.returned)}


def _terminal(design: Design, state: StateTrace, terminal: TracedTerminal, width: int) -> Iterator[str]:
    name = shown(terminal.terminal)
    if terminal.fed:
        yield from lines_of(f"{name} is fed", width, 2)
        for paths in terminal.fed:
            yield from _paths(design, "by", paths, width)
        yield from _common(terminal, width)
    if terminal.returned:
        fed = any(t.fed for t in state.terminals)
        apart = terminal.role == RETURN and state.works is False and fed
        yield from lines_of(f"{name} returns{', but to no source that feeds it' if apart else ''}", width, 2)
        for paths in terminal.returned:
            yield from _paths(design, "to", paths, width)
        yield from _common(terminal, width)
    if terminal.dead:
        yield from _dead(terminal, width)


def _common(terminal: TracedTerminal, width: int) -> Iterator[str]:
    """What every path passes, where there are several."""
    if sum(len(paths.paths) for paths in terminal.fed or terminal.returned) < 2:
        return
    common = and_list([*map(element_words, terminal.common)])
    yield from labelled("on every path", common or "no part or wire", width, 4)


def _dead(terminal: TracedTerminal, width: int) -> Iterator[str]:
    dead = "returns to no source" if terminal.role == RETURN else "is dead"
    yield from lines_of(f"{shown(terminal.terminal)} {dead}", width, 2)
    if terminal.nearest is None:
        yield from lines_of("No switch, relay or circuit protection holds it open.", width, 4)
        return
    yield from labelled("open path", path_words(terminal.nearest.elements), width, 4)
    held = "; ".join(f"{element_words(e)} {shown(how)}" for e, how in terminal.held_open)
    yield from labelled("held open by", held, width, 4)


def _paths(design: Design, preposition: str, found: TracedPaths, width: int) -> Iterator[str]:
    yield from lines_of(f"{preposition} {element_words(found.source)}", width, 4)
    first, *others = found.paths
    yield from _path(design, "path", first, width)
    for path in others:
        yield from _path(design, "other path", path, width)
    if found.stopped:
        paths, steps = SEARCH_LIMIT
        yield from lines_of(
            f"The search stopped at {counted(paths, 'path')} or {steps:,} steps; there may be more paths.",
            width,
            6,
        )


def _path(design: Design, label: str, path: TracedPath, width: int) -> Iterator[str]:
    yield from labelled(label, path_words(path.elements), width)
    protection = [f"{element_words(e)} {_rating(design, e)}".rstrip() for e in path.protection]
    positions = [f"{element_words(e)} at {shown(at)}" for e, at in path.switches]
    positions += [f"{element_words(e)} {'energised' if on else 'not energised'}" for e, on in path.relays]
    for title, words in (("protection", protection), ("switches", positions)):
        if words:
            yield from labelled(title, ", ".join(words), width)


def _rating(design: Design, element: str) -> str:
    rating = design.parts[bare(element)].rating
    return quantity(rating, "A") if rating is not None else ""


def path_words(elements: Sequence[str]) -> str:
    """``main-battery -> W1 -> main-bus``."""
    return " -> ".join(map(element_words, elements))
