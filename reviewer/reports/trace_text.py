"""A trace for a terminal: state by state, how something is fed and returned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.simple_paths import MOST_STEPS, MOST_WAYS
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.trace import RETURN, Point, StateTrace, Trace, TracedWay, TracedWays
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.wording import and_list, counted, element_words, shown

SCOPE = "Nothing is taken to have failed. A way is listed where it conducts, whatever current it carries."


def trace_text(file: str, design: Design, trace: Trace, width: int = 100) -> str:
    """The whole trace, states that are alike told once, the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: {shown(trace.target)}, {trace.kind}", width)
    lines += lines_of(SCOPE, width)
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
    if state.hunts:
        yield from lines_of(
            "The relays do not come to rest in this state; what is told is one of the ways in which they stand.",
            width,
            2,
        )
    for point in state.points:
        yield from _point(design, state, point, width)


def _verdict(design: Design, trace: Trace, state: StateTrace) -> str:
    if state.works is None:
        dead = [p for p in state.points if p.dead]
        return "dead" if len(dead) == len(state.points) else "dead in part" if dead else "live"
    if "." not in trace.target and f"parts/{trace.target}" in _sources(state) and not state.by:
        return "gives power" if state.works else "gives no power"
    coil = trace.kind in ("relay", "contactor")
    word = "energised" if coil else "powered"
    return f"{word} by {and_list([*map(element_words, state.by)], 'or')}" if state.works else f"not {word}"


def _sources(state: StateTrace) -> set[str]:
    return {w.source for point in state.points for w in (*point.fed, *point.returned)}


def _point(design: Design, state: StateTrace, point: Point, width: int) -> Iterator[str]:
    name = shown(point.terminal)
    if point.fed:
        yield from lines_of(f"{name} is fed", width, 2)
        for ways in point.fed:
            yield from _ways(design, "by", ways, width)
    if point.returned:
        fed = any(p.fed for p in state.points)
        others = (
            ", though to no source that feeds it"
            if point.role == RETURN and state.works is False and fed
            else ""
        )
        yield from lines_of(f"{name} returns{others}", width, 2)
        for ways in point.returned:
            yield from _ways(design, "to", ways, width)
    if not point.dead:
        return
    yield from lines_of(f"{name} {'returns to no source' if point.role == RETURN else 'is dead'}", width, 2)
    if point.shut:
        yield from labelled("nearest", path_words(point.shut.elements), width, 4)
        yield from labelled(
            "held open", "; ".join(f"{element_words(e)} {shown(how)}" for e, how in point.stands), width, 4
        )
    else:
        yield from lines_of("No switch, relay or protector that stood otherwise would change that.", width, 4)


def _ways(design: Design, preposition: str, found: TracedWays, width: int) -> Iterator[str]:
    yield from lines_of(f"{preposition} {element_words(found.source)}", width, 4)
    first, *others = found.ways
    yield from _way(design, "way", first, width)
    for way in others:
        yield from _way(design, "other way", way, width)
    if found.stopped:
        yield from lines_of(
            f"The search stopped at {counted(MOST_WAYS, 'way')} or {MOST_STEPS:,} steps; there are more ways than these, or there may be.",
            width,
            6,
        )


def _way(design: Design, label: str, way: TracedWay, width: int) -> Iterator[str]:
    yield from labelled(label, path_words(way.elements), width)
    protectors = [f"{element_words(e)} {_rating(design, e)}".rstrip() for e in way.protectors]
    stands = [f"{element_words(e)} at {shown(at)}" for e, at in way.switches]
    stands += [f"{element_words(e)} {'energised' if on else 'not energised'}" for e, on in way.relays]
    for title, words in (("protectors", protectors), ("switches", stands)):
        if words:
            yield from labelled(title, ", ".join(words), width)


def _rating(design: Design, element: str) -> str:
    rating = design.parts[bare(element)].rating
    return f"{rating:g} A" if rating is not None else ""


def path_words(elements: Sequence[str]) -> str:
    """``main-battery -> W1 -> main-bus``."""
    return " -> ".join(map(element_words, elements))
